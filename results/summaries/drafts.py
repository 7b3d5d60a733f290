"""The sheet that a group's phones type on, as it stands now."""

from dataclasses import dataclass
from datetime import datetime

from results.models import DraftEdit, SheetDraft, Submission


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


def draft_mark(group_id: int) -> DraftMark:
    """Return the state of a group's sheet; two queries."""
    version = SheetDraft.objects.filter(group_id=group_id).values_list(
        "version", flat=True
    )
    current = Submission.objects.filter(group_id=group_id, is_current=True)
    revision, at = current.values_list("revision", "received_at").first() or (0, None)
    return DraftMark(version.first() or 0, revision, at)


def draft_boxes(group_id: int) -> dict[str, DraftBox]:
    """Return every box that was typed in, by its name; one query."""
    standing: dict[str, DraftEdit] = {}
    earlier: dict[str, list[EarlierEdit]] = {}
    rows = DraftEdit.objects.filter(draft__group_id=group_id)
    for row in rows.order_by("-edited_at", "-pk"):
        if row.is_standing:
            standing[row.field] = row
        else:
            earlier.setdefault(row.field, []).append(
                EarlierEdit(row.value, row.edited_at, row.phone)
            )
    return {
        field: DraftBox(
            value=row.value,
            edited_at=row.edited_at,
            phone=row.phone,
            is_sent=row.sent_with is not None,
            earlier=tuple(earlier.get(field, ())),
        )
        for field, row in standing.items()
    }


def unsent_values(group_id: int) -> dict[str, str]:
    """Return what stands in boxes and no submission has; one query."""
    rows = DraftEdit.objects.filter(
        draft__group_id=group_id, is_standing=True, sent_with__isnull=True
    )
    return dict(rows.values_list("field", "value"))
