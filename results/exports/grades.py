"""The grades table: one group a row, its columns the same whatever the scheme."""

from collections.abc import Iterable, Iterator, Mapping

from results.exports.cells import csv_text, harmless, moment, number
from results.policy.access import Rights
from results.policy.marking import PartName
from results.summaries.grade_rows import GradeRow
from results.summaries.grading import by_code, grading_board

GRADE_COLUMNS = (
    "course",
    "section",
    "group",
    "students",
    "state",
    *(name.value for name in PartName),
    "lost_to_measurement",
    "lost_to_arithmetic",
    "lost_in_handing_in",
    "suggested_points",
    "final_points",
    "max_points",
    "set_by_hand",
    "reason",
    "comment",
    "look",
    "accepted_by",
    "accepted_at",
    "released_at",
    "scheme_version",
)
NUMBERS = frozenset(
    (
        *(name.value for name in PartName),
        "lost_to_measurement",
        "lost_to_arithmetic",
        "lost_in_handing_in",
        "suggested_points",
        "final_points",
        "max_points",
    )
)


def grade_rows(section_id: int, *, rights: Rights) -> Iterator[dict[str, str]]:
    """Yield the grades of a section as text, points exact.

    Raises
    ------
    NotFound, NoScheme
        As for the section's grades on a page.
    """
    board = grading_board(section_id, rights=rights)
    for row in sorted(board.rows, key=by_code):
        yield {
            "course": harmless(board.course),
            "section": harmless(board.section),
            "scheme_version": str(board.scheme_version),
            **_cells(row),
        }


def grades_csv(rows: Iterable[Mapping[str, str]]) -> bytes:
    """Return the table as a file of CSV in UTF-8."""
    cells = ([row[column] for column in GRADE_COLUMNS] for row in rows)
    return csv_text(GRADE_COLUMNS, cells).encode()


def _cells(row: GradeRow) -> dict[str, str]:
    by_name = {part.name.value: part.points for part in row.parts}
    return {
        "group": harmless(row.work.group),
        "students": harmless("; ".join(row.work.students)),
        "state": row.state,
        **{name.value: number(by_name.get(name.value)) for name in PartName},
        "lost_to_measurement": number(row.lost_to_measurement),
        "lost_to_arithmetic": number(row.lost_to_arithmetic),
        "lost_in_handing_in": number(row.lost_in_handing_in),
        "suggested_points": number(row.suggested),
        "final_points": number(row.final),
        "max_points": number(row.max_points),
        "set_by_hand": "yes" if row.is_override else "no",
        "reason": harmless(row.reason),
        "comment": "" if row.is_prewritten else harmless(row.comment),
        "look": harmless("; ".join(row.look)),
        "accepted_by": harmless(row.accepted_by),
        "accepted_at": moment(row.accepted_at),
        "released_at": moment(row.released_at),
    }
