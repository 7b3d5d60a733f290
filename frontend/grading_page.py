"""The grading page of a section: one sentence, then every group's row."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from frontend.grade_pictures import Totals, totals_picture
from frontend.numerals import counted, fixed
from frontend.pictures import Drawing, common_extent, draw
from frontend.walls import iron_in_print
from results.grading import UNDO_WITHIN
from results.summaries.grade_rows import GradeRow
from results.summaries.grading import GradingBoard

# Beside the parts, and the error where it may be seen.
_COLUMNS = ("group", "line", "look", "iron", "bench", "paper", "points", "state")
FILTERS: Mapping[str, tuple[str, Callable[[GradeRow], bool]]] = {
    "all": ("all", lambda _: True),
    "look": ("with something to look at", lambda row: row.wants_look),
    "open": ("not accepted yet", lambda row: row.state in {"draft", "waiting"}),
    "accepted": ("accepted", lambda row: row.state == "accepted"),
    "released": ("released", lambda row: row.state == "released"),
    "asked": ("asked for a re-check", lambda row: bool(row.rechecks)),
}


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed for one group and could not be stored."""

    group_id: int = 0
    sentence: str = ""
    fields: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Tile:
    """One group's row.

    Attributes
    ----------
    points_typed, reason_typed, comment_typed, answer_typed : str
        What stands in the boxes: as typed before a refusal, or as stored.
    is_open : bool
        Whether its details stand open.
    marked : bool
        Whether it has the mark in the margin.
    """

    row: GradeRow
    drawing: Drawing | None
    iron: str
    error: str
    points_typed: str
    reason_typed: str
    comment_typed: str
    answer_typed: str
    refused: str
    is_open: bool
    marked: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """One filter of the rows."""

    key: str
    label: str
    n: int
    is_current: bool


@dataclass(frozen=True, slots=True)
class GradingPage:
    """Everything on the page.

    Attributes
    ----------
    seen : str
        The version of every grade that the page shows, for the forms to hand back.
    """

    headline: str
    tiles: tuple[Tile, ...]
    choices: tuple[Choice, ...]
    seen: str
    totals: Totals | None
    may_undo: bool
    n_columns: int


def grading_page(
    board: GradingBoard, *, show: str, now: datetime, typed: Typed | None = None
) -> GradingPage:
    """Lay out a section's grades."""
    chosen = show if show in FILTERS else "all"
    rows = [row for row in board.rows if FILTERS[chosen][1](row)]
    extent = common_extent(row.work.line for row in board.rows)
    released_at = board.last_released_at
    return GradingPage(
        headline=headline(board),
        tiles=tuple(
            _tile(row, draw(row.work.line, extent) if row.work.line else None, typed)
            for row in rows
        ),
        choices=tuple(
            Choice(key, label, sum(map(keeps, board.rows)), key == chosen)
            for key, (label, keeps) in FILTERS.items()
        ),
        seen=" ".join(f"{row.work.group_id}:{row.version}" for row in board.rows),
        totals=totals_picture(
            [row.points for row in board.rows if row.points is not None],
            board.max_points,
        ),
        n_columns=len(_COLUMNS) + len(board.part_names) + board.may_see_assigned,
        may_undo=released_at is not None and now - released_at <= UNDO_WITHIN,
    )


def _tile(row: GradeRow, drawing: Drawing | None, typed: Typed | None) -> Tile:
    own = typed if typed and typed.group_id == row.work.group_id else Typed()
    recovery = row.work.recovery
    return Tile(
        row=row,
        drawing=drawing,
        iron=iron_in_print(row.work),
        error=fixed(100 * (recovery.ratio - 1), 2) if recovery else "",
        points_typed=own.fields.get("points", ""),
        reason_typed=own.fields.get("reason", row.reason),
        comment_typed=own.fields.get("comment", row.comment),
        answer_typed=own.fields.get("answer", ""),
        refused=own.sentence,
        is_open=bool(own.sentence),
        marked=is_marked(row),
    )


def is_marked(row: GradeRow) -> bool:
    """Whether something about a grade waits for a person."""
    waits = row.proposal is not None or row.open_recheck is not None
    return waits or (row.state == "draft" and bool(row.look))


def headline(board: GradingBoard) -> str:
    """Return where the grading stands, in a sentence."""
    n = len(board.rows)
    if n == 0:
        return f"Section {board.section} has no groups yet"
    if waiting := sum(is_marked(row) and row.state != "draft" for row in board.rows):
        verb = "waits" if waiting == 1 else "wait"
        return (
            f"{counted(waiting).capitalize()} of {counted(n)} grades {verb} for a word"
        )
    if board.n_to_look:
        verb = "wants" if board.n_to_look == 1 else "want"
        words = f"{counted(board.n_to_look).capitalize()} of {counted(n)} {verb} a look"
        return f"{words}; {counted(board.n_clean)} can be accepted together"
    if drafts := board.count("draft", "waiting"):
        return (
            f"{counted(drafts).capitalize()} of {counted(n)} are still to be accepted"
        )
    if board.count("accepted"):
        return f"All {counted(n)} are accepted; ready to release"
    return f"All {counted(n)} are released"
