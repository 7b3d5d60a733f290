"""Cells of tables that a spreadsheet may open."""

import csv
from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from io import StringIO

# A spreadsheet runs a cell that begins with one of these as a formula; some pass over
# blanks before it, and take the wide signs of East Asian writing for the others.
_FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def number(value: float | Decimal | None) -> str:
    """Return a number in full, so that nothing is lost on the way; empty if none."""
    if value is None:
        return ""
    return str(value) if isinstance(value, Decimal) else repr(value)


def moment(value: datetime | None) -> str:
    """Return a time as ISO 8601 with its zone; empty if none."""
    return "" if value is None else value.isoformat()


def harmless(text: str) -> str:
    """Return text that no spreadsheet runs.

    Examples
    --------
    >>> harmless("=1+1"), harmless("12")
    ("'=1+1", '12')
    """
    return f"'{text}" if text.lstrip().startswith(_FORMULA_STARTS) else text


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table as CSV (RFC 4180)."""
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()
