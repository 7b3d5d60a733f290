"""Cells of tables that a spreadsheet may open."""

import csv
import re
from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from io import StringIO

# A spreadsheet runs a cell that begins with one of these as a formula, and takes the
# wide signs of East Asian writing for the others; some pass over blanks before it.
# Where numbers have a comma, semicolons part the cells of a file, whatever it says, and
# then no quotes hold a cell together over the end of a line.
_FORMULA_START = re.compile(
    r"(^|[;\t\r\n])"
    r'(?=(?:[^\S\t\r\n]|["\0-\x08\x0e-\x1b\u200b-\u200f\u2060\ufeff])*[-=+@＝＋－＠])'
)


def number(value: float | Decimal | None) -> str:
    """Return a number in full, so that nothing is lost on the way; empty if none."""
    if value is None:
        return ""
    return str(value) if isinstance(value, Decimal) else repr(value)


def moment(value: datetime | None) -> str:
    """Return a time as ISO 8601 with its zone; empty if none."""
    return "" if value is None else value.isoformat()


def harmless(text: str) -> str:
    """Return text that no spreadsheet runs, nor any part of it that one may split off.

    Examples
    --------
    >>> harmless("=1+1"), harmless("U1;=1+1"), harmless("12")
    ("'=1+1", "U1;'=1+1", '12')
    """
    return _FORMULA_START.sub(r"\1'", text)


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table as CSV (RFC 4180)."""
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()
