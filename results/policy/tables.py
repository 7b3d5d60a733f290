"""Tidy tables as text: decoding, columns, and where each problem stands.

A table may come from a spreadsheet of any country: UTF-8 or Windows-1252, cells
parted by comma, semicolon or tab. Every problem names its row as a spreadsheet
numbers it, the header being row 1.
"""

import csv
import io
from collections.abc import Collection, Iterable
from dataclasses import dataclass

_DELIMITERS = ",;\t"
LARGEST_BYTES = 5 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class RowProblem:
    """One thing to mend in a table; column empty where the whole row is meant."""

    row: int
    column: str
    message: str

    def __str__(self) -> str:
        column = f", column {self.column}" if self.column else ""
        return f"row {self.row}{column}: {self.message}"


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row: its number in the spreadsheet and its cells by column."""

    number: int
    cells: dict[str, str]

    def get(self, column: str) -> str:
        """Return a cell, empty if the table has no such column."""
        return self.cells.get(column, "")


@dataclass(frozen=True, slots=True)
class Table:
    """A table that could be read, with what could not."""

    columns: tuple[str, ...]
    rows: tuple[TableRow, ...]
    problems: tuple[RowProblem, ...]


def read_table(
    content: bytes, *, required: Collection[str], known: Collection[str]
) -> Table:
    """Read a table from the bytes of a file.

    Parameters
    ----------
    required : collection of str
        Columns without which nothing can be read.
    known : collection of str
        Other columns that mean something; a column outside both is a problem,
        because it is more often a misspelt one than a needless one.

    Returns
    -------
    Table
        Rows with too many or too few cells are left out and named.
    """
    try:
        raw_rows = _records(content)
    except _NoTable as error:
        return _refused(str(error))
    columns = tuple(cell.strip() for cell in raw_rows[0][1])
    problems = list(_header_problems(columns, required, known))
    if problems:
        return Table(columns, (), tuple(problems))
    filled = [(n, cells) for n, cells in raw_rows[1:] if any(map(str.strip, cells))]
    if not filled:
        return _refused("The table has a header and no rows.")
    rows = []
    for number, cells in filled:
        if len(cells) != len(columns):
            problems.append(RowProblem(number, "", _wrong_width(cells, columns)))
            continue
        values = (cell.strip() for cell in cells)
        rows.append(TableRow(number, dict(zip(columns, values, strict=True))))
    return Table(columns, tuple(rows), tuple(problems))


class _NoTable(ValueError):
    """The bytes are no table; the message says why."""


def _records(content: bytes) -> list[tuple[int, list[str]]]:
    """Return the cells of each line under its number; at least one line."""
    if len(content) > LARGEST_BYTES:
        message = f"The file is larger than {LARGEST_BYTES // 2**20} MB."
        raise _NoTable(message)
    text = _decode(content)
    if "\x00" in text:
        message = "This is not the text of a table. Save it as CSV (UTF-8)."
        raise _NoTable(message)
    lines = text.splitlines()
    if not lines:
        message = "The table is empty. Its first row names the columns."
        raise _NoTable(message)
    whole = io.StringIO("\n".join(lines) + "\n")
    reader = csv.reader(whole, delimiter=_delimiter(lines[0]))
    try:
        return [(reader.line_num, cells) for cells in reader]
    except csv.Error as error:
        message = f"Row {reader.line_num} cannot be read: {error}."
        raise _NoTable(message) from error


def _refused(message: str) -> Table:
    return Table((), (), (RowProblem(1, "", message),))


def _decode(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Every byte means something here, so this cannot fail in turn.
        return content.decode("cp1252", errors="replace")


def _delimiter(header: str) -> str:
    return max(_DELIMITERS, key=header.count)


def _header_problems(
    columns: tuple[str, ...], required: Collection[str], known: Collection[str]
) -> Iterable[RowProblem]:
    for name in required:
        if name not in columns:
            yield RowProblem(1, name, f"The column {name} is missing.")
    for name in dict.fromkeys(columns):
        if columns.count(name) > 1:
            yield RowProblem(1, name, f"The column {name} is there twice.")
        if name not in required and name not in known:
            yield RowProblem(
                1,
                name,
                f"The column “{name}” is not known. "
                f"Known are: {', '.join((*required, *known))}.",
            )


def _wrong_width(cells: list[str], columns: tuple[str, ...]) -> str:
    return (
        f"The row has {len(cells)} cells, the header {len(columns)}. "
        "Is a delimiter missing, or a decimal comma without quotes?"
    )
