"""The sheet that a group's phones type on, as it stands now."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from results.models import DraftEdit, SheetDraft
from results.policy.drafts import boxes_of
from results.summaries.as_typed import as_typed, last_submission


@dataclass(frozen=True, slots=True)
class EarlierEdit:
    """What stood in a box before, or would have."""

    value: str
    edited_at: datetime
    phone: str


@dataclass(frozen=True, slots=True)
class DraftBox:
    """One box: what stands in it, and what was there before, newest first.

    Attributes
    ----------
    is_sent : bool
        Whether the current submission has this value.
    """

    value: str
    edited_at: datetime
    phone: str
    is_sent: bool
    earlier: tuple[EarlierEdit, ...]


@dataclass(frozen=True, slots=True)
class DraftMark:
    """Tells one state of a sheet from another: nothing changed while both stay.

    `revision` is 0 and `received_at` None while nothing was submitted.
    """

    version: int
    revision: int
    received_at: datetime | None

    def __str__(self) -> str:
        return f"{self.version}-{self.revision}"


@dataclass(frozen=True, slots=True)
class DraftSheet:
    """Every box that was typed in, by its name, as of one version."""

    version: int
    boxes: dict[str, DraftBox]


def draft_sheet(group_id: int) -> DraftSheet:
    """Return what a group's phones have typed; one query."""
    return sheet_of(*SheetDraft.objects.opened(group_id))


def sheet_of(draft: SheetDraft, edits: Iterable[DraftEdit]) -> DraftSheet:
    """Return what a draft comes to, from all of its edits."""
    standing: dict[str, DraftEdit] = {}
    earlier: dict[str, list[EarlierEdit]] = {}
    for row in sorted(edits, key=lambda row: (row.edited_at, row.pk), reverse=True):
        if row.is_standing:
            standing[row.field] = row
        else:
            earlier.setdefault(row.field, []).append(
                EarlierEdit(row.value, row.edited_at, row.phone)
            )
    boxes = {
        field: DraftBox(
            value=row.value,
            edited_at=row.edited_at,
            phone=row.phone,
            is_sent=row.sent_with is not None,
            earlier=tuple(earlier.get(field, ())),
        )
        for field, row in standing.items()
    }
    return DraftSheet(draft.version, boxes)


def with_sent(sheet: DraftSheet, group_id: int) -> DraftSheet:
    """Return a sheet with what was sent and is in no box of it; two queries.

    A phone may send what did not reach the sheet before, for want of a network: the
    other one learns of it so.
    """
    last = last_submission(group_id)
    if last is None:
        return sheet
    missing = {
        name: DraftBox(value, last.received_at, phone="", is_sent=True, earlier=())
        for name, value in boxes_of(as_typed(last)).items()
        if value and name not in sheet.boxes
    }
    return replace(sheet, boxes={**sheet.boxes, **missing})


def unsent_values(group_id: int) -> dict[str, str]:
    """Return what stands in boxes and no submission has; one query."""
    rows = DraftEdit.objects.filter(
        draft__group_id=group_id, is_standing=True, sent_with__isnull=True
    )
    return dict(rows.values_list("field", "value"))
