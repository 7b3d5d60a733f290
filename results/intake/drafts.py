"""A group's phones type on one sheet: their edits meet here."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import F

from results.models import DraftEdit, Group, SheetDraft
from results.policy.drafts import (
    MOST_FIELDS,
    BadDraft,
    Edit,
    boxes_of,
    is_same,
    merged,
    read_edits,
)
from results.policy.typed import RawSubmission


def take_edits(*, group_id: int, document: object, received_at: datetime) -> None:
    """Merge what one phone typed into the group's sheet.

    Repeating a message changes nothing.

    Raises
    ------
    BadDraft
        Nothing was stored: the message is not of the page's form, or too large.
    """
    edits = read_edits(document, received_at)
    if not edits:
        return
    by_field: dict[str, list[Edit]] = defaultdict(list)
    for edit in edits:
        by_field[edit.field].append(edit)
    with transaction.atomic():
        # The group's row is the lock under which its phones take turns.
        Group.objects.select_for_update(of=("self",)).get(pk=group_id)
        draft, _ = SheetDraft.objects.get_or_create(group_id=group_id)
        _check_room(draft, by_field)
        _store(draft, by_field)


def _check_room(draft: SheetDraft, new: Iterable[str]) -> None:
    known = set(draft.edits.filter(is_standing=True).values_list("field", flat=True))
    if len(known.union(new)) > MOST_FIELDS:
        message = f"a sheet has at most {MOST_FIELDS} boxes"
        raise BadDraft(message)


def _store(draft: SheetDraft, by_field: dict[str, list[Edit]]) -> None:
    rows: dict[str, list[DraftEdit]] = defaultdict(list)
    for row in draft.edits.filter(field__in=by_field):
        rows[row.field].append(row)
    dropped: list[int] = []
    demoted: list[int] = []
    promoted: list[int] = []
    created: list[DraftEdit] = []
    for field, new in by_field.items():
        known = {(row.phone, row.stamp): row for row in rows[field]}
        kept = merged(map(_edit_of, known.values()), new)
        names = [(edit.phone, edit.stamp) for edit in kept]
        for name, row in known.items():
            if name not in names:
                dropped.append(row.pk)
            elif row.is_standing and name != names[0]:
                demoted.append(row.pk)
            elif not row.is_standing and name == names[0]:
                promoted.append(row.pk)
        created += [
            _row_of(draft, edit, is_standing=edit is kept[0])
            for edit, name in zip(kept, names, strict=True)
            if name not in known
        ]
    if not (dropped or demoted or promoted or created):
        return
    draft.edits.filter(pk__in=dropped).delete()
    draft.edits.filter(pk__in=demoted).update(is_standing=False, sent_with=None)
    draft.edits.filter(pk__in=promoted).update(is_standing=True)
    DraftEdit.objects.bulk_create(created)
    SheetDraft.objects.filter(pk=draft.pk).update(version=F("version") + 1)


def close_draft(*, group_id: int, raw: RawSubmission, revision: int) -> None:
    """Mark what a submission has; what no submission has stays on the sheet.

    An edit of the other phone that came too late for this revision is thus found on
    the sheet of the next one.  Earlier edits of what was sent are forgotten: the
    revision keeps what was sent.
    """
    draft = SheetDraft.objects.filter(group_id=group_id).first()
    if draft is None:
        return
    sent = boxes_of(raw)
    has, stale, settled = [], [], []
    for edit in draft.edits.filter(is_standing=True):
        if edit.field not in sent:
            continue
        if is_same(edit.value, sent[edit.field]):
            has.append(edit.pk)
            settled.append(edit.field)
        elif edit.sent_with is not None:
            stale.append(edit.pk)
            settled.append(edit.field)
    draft.edits.filter(is_standing=False, field__in=settled).delete()
    draft.edits.filter(pk__in=stale).delete()
    draft.edits.filter(pk__in=has).update(sent_with=revision)
    SheetDraft.objects.filter(pk=draft.pk).update(version=F("version") + 1)


def _edit_of(row: DraftEdit) -> Edit:
    return Edit(row.field, row.value, row.edited_at, row.phone, row.stamp)


def _row_of(draft: SheetDraft, edit: Edit, *, is_standing: bool) -> DraftEdit:
    return DraftEdit(
        draft=draft,
        field=edit.field,
        value=edit.value,
        phone=edit.phone,
        stamp=edit.stamp,
        edited_at=edit.edited_at,
        is_standing=is_standing,
    )
