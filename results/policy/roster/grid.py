"""A file of people as rows of cells, before anybody says what its columns mean."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from results.policy.roster.decoding import Undecodable, decode
from results.policy.roster.refusals import NotARoster
from results.policy.tables import RowProblem

LARGEST_MB = 2
MOST_ROWS = 20_000
_MOST_COLUMNS = 60
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}


@dataclass(frozen=True, slots=True)
class GridRow:
    """One row: its number as a spreadsheet counts it, the head being row 1."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Rows of as many cells as the head has names.

    Attributes
    ----------
    source : str
        What the file was, in words: its encoding and what parts its cells.
    head : tuple of str
        Names of columns as they stand; some may be alike or empty.
    parts : tuple of str
        Names of the courses in a file that holds several, empty otherwise; the cell
        in column `part_column` says to which one a row belongs.
    notes : tuple of str
        What was left out on purpose.
    problems : tuple of RowProblem
        Rows that cannot be told apart into cells; they are not among `rows`.
    """

    source: str
    head: tuple[str, ...]
    rows: tuple[GridRow, ...]
    parts: tuple[str, ...] = ()
    part_column: int = -1
    notes: tuple[str, ...] = ()
    problems: tuple[RowProblem, ...] = field(default=())

    def to_plain(self) -> dict[str, Any]:
        """Return the grid as lists and texts, which JSON can hold."""
        return {
            "source": self.source,
            "head": list(self.head),
            "rows": [[row.number, *row.cells] for row in self.rows],
            "parts": list(self.parts),
            "part_column": self.part_column,
            "notes": list(self.notes),
            "problems": [[p.row, p.column, p.message] for p in self.problems],
        }

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> "Grid":
        """Return the grid that `to_plain` was asked of."""
        return cls(
            source=plain["source"],
            head=tuple(plain["head"]),
            rows=tuple(GridRow(row[0], tuple(row[1:])) for row in plain["rows"]),
            parts=tuple(plain["parts"]),
            part_column=plain["part_column"],
            notes=tuple(plain["notes"]),
            problems=tuple(RowProblem(*problem) for problem in plain["problems"]),
        )


def read_grid(content: bytes) -> Grid:
    """Read a table from the bytes of a CSV file (RFC 4180, and its usual variants).

    Cells may be parted by comma, semicolon or tab, and hold line breaks in quotes;
    blank rows count but are passed over.

    Raises
    ------
    NotARoster
        The file is too large, no text, or has no head with rows below it.
    """
    if len(content) > LARGEST_MB * 2**20:
        raise _refused(1, f"The file is larger than {LARGEST_MB} MB.")
    try:
        decoded = decode(content)
    except Undecodable as error:
        raise _refused(error.line, str(error)) from error
    separator = _separator(decoded.text)
    records = _records(decoded.text, separator)
    if not records:
        raise _refused(1, "The table is empty. Its first row names the columns.")
    head, *body = records
    if not body:
        raise _refused(head.number, "The table has a head and no rows.")
    if len(head.cells) > _MOST_COLUMNS or len(body) > MOST_ROWS:
        message = f"Up to {_MOST_COLUMNS} columns and {MOST_ROWS} rows can be read."
        raise _refused(head.number, message)
    width = len(head.cells)
    return Grid(
        source=f"{decoded.encoding}, cells parted by {_SEPARATORS[separator]}",
        head=tuple(_in_one_line(name) for name in head.cells),
        rows=tuple(
            GridRow(row.number, row.cells[:width]) for row in body if _fits(row, width)
        ),
        problems=tuple(
            RowProblem(row.number, "", _wrong_width(row, width))
            for row in body
            if not _fits(row, width)
        ),
    )


def _refused(row: int, message: str) -> NotARoster:
    return NotARoster([RowProblem(row, "", message)])


def _separator(text: str) -> str:
    """Return what parts the cells of the first row that is not blank.

    Signs between quotes do not count: a head may name a column "name, as printed".
    """
    for line in text.splitlines():
        if line.strip(" ,;\t"):
            bare = "".join(line.split('"')[::2])
            return max(_SEPARATORS, key=bare.count)
    return max(_SEPARATORS, key=text.count)


def _records(text: str, separator: str) -> list[GridRow]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    records, number = [], 0
    try:
        for cells in reader:
            number += 1
            if any(cell.strip() for cell in cells):
                records.append(GridRow(number, tuple(cell.strip() for cell in cells)))
    except csv.Error as error:
        message = (
            "The row cannot be told apart into cells; is a quotation mark missing, or "
            "one too many? The rows after it were not read."
        )
        raise _refused(number + 1, message) from error
    return records


def _fits(row: GridRow, width: int) -> bool:
    """Whether a row has the head's cells; more are no harm if they are empty."""
    return len(row.cells) >= width and not any(row.cells[width:])


def _wrong_width(row: GridRow, width: int) -> str:
    filled = len(row.cells)
    return (
        f"The row has {filled} cells, the head {width}. Is a separator missing, or "
        "is there one in a name without quotation marks?"
    )


def _in_one_line(name: str) -> str:
    return " ".join(name.split())
