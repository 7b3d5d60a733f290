"""A group's phones type on one sheet: their edits meet here."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet

from results.models import DraftEdit, SheetDraft
from results.policy.drafts import (
    MOST_FIELDS,
    BadDraft,
    Edit,
    Pressed,
    boxes_of,
    is_same,
    merged,
    read_edits,
)
from results.policy.typed import RawSubmission
from results.summaries.as_typed import as_typed, last_submission
from results.summaries.drafts import DraftSheet, draft_sheet, sheet_of


def take_edits(*, group_id: int, document: object, received_at: datetime) -> DraftSheet:
    """Merge what one phone typed into the group's sheet; return the sheet.

    Repeating a message changes nothing.

    Raises
    ------
    BadDraft
        Nothing was stored: the message is not of the page's form, or too large.
    """
    by_field: dict[str, list[Edit]] = defaultdict(list)
    for edit in read_edits(document, received_at):
        by_field[edit.field].append(edit)
    if not by_field:
        return draft_sheet(group_id)
    with transaction.atomic():
        draft, rows = SheetDraft.objects.locked(group_id)
        _check_room(rows, by_field)
        changes = _changes(draft, rows, by_field)
        if changes:
            _mark_sent(group_id, changes.standing)
            _store(draft, changes)
    gone = {row.pk for row in changes.dropped}
    kept = [row for row in rows if row.pk not in gone]
    return sheet_of(draft, [*kept, *changes.created])


def _check_room(rows: Iterable[DraftEdit], new: Iterable[str]) -> None:
    known = {row.field for row in rows if row.is_standing}
    if len(known.union(new)) > MOST_FIELDS:
        message = f"a sheet has at most {MOST_FIELDS} boxes"
        raise BadDraft(message)


@dataclass(frozen=True, slots=True)
class _Changes:
    """What becomes of the rows of a draft."""

    dropped: list[DraftEdit] = field(default_factory=list)
    demoted: list[DraftEdit] = field(default_factory=list)
    promoted: list[DraftEdit] = field(default_factory=list)
    created: list[DraftEdit] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.dropped or self.demoted or self.promoted or self.created)

    @property
    def standing(self) -> list[DraftEdit]:
        """What stands from now on and did not before."""
        return [*self.promoted, *(row for row in self.created if row.is_standing)]


def _changes(
    draft: SheetDraft, rows: Iterable[DraftEdit], by_field: dict[str, list[Edit]]
) -> _Changes:
    known_by_field: dict[str, dict[tuple[str, int], DraftEdit]] = defaultdict(dict)
    for row in rows:
        known_by_field[row.field][row.phone, row.stamp] = row
    changes = _Changes()
    for box, new in by_field.items():
        known = known_by_field[box]
        kept = merged(map(_edit_of, known.values()), new)
        names = [(edit.phone, edit.stamp) for edit in kept]
        for name, row in known.items():
            if name not in names:
                changes.dropped.append(row)
            elif row.is_standing and name != names[0]:
                row.is_standing, row.sent_with = False, None
                changes.demoted.append(row)
            elif not row.is_standing and name == names[0]:
                row.is_standing = True
                changes.promoted.append(row)
        changes.created.extend(
            _row_of(draft, edit, is_standing=edit is kept[0])
            for edit, name in zip(kept, names, strict=True)
            if name not in known
        )
    return changes


def _mark_sent(group_id: int, rows: Iterable[DraftEdit]) -> None:
    """Mark what stands newly and is in the current submission all the same.

    A sheet may arrive before what was typed on it does, over a poor network.
    """
    last = last_submission(group_id)
    if last is None:
        return
    sent = boxes_of(as_typed(last))
    for row in rows:
        if row.field in sent and is_same(row.value, sent[row.field]):
            row.sent_with = last.revision


def _store(draft: SheetDraft, changes: _Changes) -> None:
    draft.version += 1
    draft.save()
    if changes.dropped:
        _stored(changes.dropped).delete()
    # In this order: one edit of a box stands.
    for rows in (changes.demoted, changes.promoted):
        DraftEdit.objects.bulk_update(rows, ["is_standing", "sent_with"])
    DraftEdit.objects.bulk_create(changes.created)


def _stored(rows: Iterable[DraftEdit]) -> QuerySet[DraftEdit]:
    return DraftEdit.objects.filter(pk__in=[row.pk for row in rows])


def close_draft(
    *, group_id: int, raw: RawSubmission, revision: int, pressed: Pressed | None
) -> None:
    """Mark what a submission has; what no submission has stays on the sheet.

    An edit of the other phone that came too late for this revision is thus found on
    the sheet of the next one.  Earlier edits of what was sent are forgotten: the
    revision keeps what was sent.  So are those of the phone that sends, from before
    Send was pressed on it: what it typed over them may not have arrived yet.  To be
    called with the group's row locked.
    """
    draft, rows = SheetDraft.objects.opened(group_id)
    if not draft.is_begun:
        return
    sent = boxes_of(raw)
    has, past, settled = [], [], set()
    for row in rows:
        if not row.is_standing or row.field not in sent:
            continue
        if is_same(row.value, sent[row.field]):
            has.append(row)
            settled.add(row.field)
        elif row.sent_with is not None or (
            pressed is not None and pressed.covers(row.phone, row.stamp)
        ):
            past.append(row)
            settled.add(row.field)
    past += [row for row in rows if not row.is_standing and row.field in settled]
    if past:
        _stored(past).delete()
    if has:
        _stored(has).update(sent_with=revision)
    draft.version += 1
    draft.save()


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
