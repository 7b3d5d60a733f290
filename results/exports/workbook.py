"""The grades table as a workbook (Office Open XML, ISO/IEC 29500)."""

from collections.abc import Iterable, Mapping
from io import BytesIO

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from results.exports.grades import GRADE_COLUMNS, NUMBERS

_WIDTH = 16


def grades_workbook(rows: Iterable[Mapping[str, str]]) -> bytes:
    """Return a workbook with the columns of the CSV; points are numbers in it."""
    workbook = Workbook()
    sheet = workbook.worksheets[0]
    sheet.title = "grades"
    sheet.append(list(GRADE_COLUMNS))
    for row in rows:
        sheet.append([_cell(column, row[column]) for column in GRADE_COLUMNS])
    for place, cell in enumerate(sheet[1], start=1):
        cell.font = Font(bold=True)
        sheet.column_dimensions[get_column_letter(place)].width = _WIDTH
    sheet.freeze_panes = "D2"
    out = BytesIO()
    workbook.save(out)
    return out.getvalue()


def _cell(column: str, text: str) -> str | float | None:
    if not text:
        return None
    if column in NUMBERS:
        return float(text)
    # A character that XML cannot hold would make the whole file unreadable.
    return ILLEGAL_CHARACTERS_RE.sub("", text)
