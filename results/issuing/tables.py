"""Vials from a table: their lots, and the values assigned to these."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from results.models import AssignedValue, Course, Lot, Vial
from results.models.courses import find_course
from results.policy.codes import BadCode, read_label
from results.policy.numbers import NotANumber, read_number
from results.policy.tables import RowProblem, TableRow, read_table
from results.policy.typed import LONGEST_CODE

_COLUMNS = ("vial", "lot", "iron_percent", "u_iron_percent")
_MOST_PERCENT = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class VialsReport:
    """What became of an imported table of vials; nothing, if it has problems."""

    n_vials: int = 0
    n_lots: int = 0
    n_values: int = 0
    problems: tuple[RowProblem, ...] = ()


@dataclass(frozen=True, slots=True)
class _Row:
    vial: str
    lot: str
    iron_percent: float
    u_iron_percent: float


def import_vials(
    *, course_code: str, text: bytes, now: datetime, revalue: bool = True
) -> VialsReport:
    """Take vials into the book, all of the table or nothing.

    A lot whose value differs from the one on record gets the new value from
    now on; the former one is kept.

    Parameters
    ----------
    revalue : bool
        Whether that may be; otherwise another value is a problem of its row.

    Raises
    ------
    NotFound
        There is no such course.
    """
    course = find_course(course_code)
    table = read_table(text, required=_COLUMNS, known=())
    problems = list(table.problems)
    rows = [_read(row, problems) for row in table.rows]
    problems += _contradictions(table.rows)
    if course.vial_labels_checked:
        problems += _wrong_labels(table.rows)
    if problems:
        return VialsReport(problems=tuple(sorted(problems, key=lambda p: p.row)))
    read = [row for row in rows if row is not None]
    if not revalue and (others := tuple(_other_values(course, table.rows, read))):
        return VialsReport(problems=others)
    return _store(course, read, now)


def _other_values(
    course: Course, rows: Iterable[TableRow], read: Iterable[_Row]
) -> Iterable[RowProblem]:
    """Yield the first row of each lot that has another value on record."""
    past = AssignedValue.objects.filter(lot__course=course).order_by("valid_from")
    last = {
        code: values
        for code, *values in past.values_list(
            "lot__code", "iron_percent", "u_iron_percent"
        )
    }
    for row, one in zip(rows, read, strict=True):
        values = [one.iron_percent, one.u_iron_percent]
        if last.pop(one.lot, values) != values:
            message = (
                f"Lot {one.lot} has another value on record. Change it on the lot’s "
                "page, where you see who is affected."
            )
            yield RowProblem(row.number, "iron_percent", message)


def _read(row: TableRow, problems: list[RowProblem]) -> _Row | None:
    before = len(problems)
    for column in ("vial", "lot"):
        if not row.get(column):
            message = f"The {column} is missing."
            problems.append(RowProblem(row.number, column, message))
        elif len(row.get(column)) > LONGEST_CODE:
            message = f"Shorten this to {LONGEST_CODE} signs."
            problems.append(RowProblem(row.number, column, message))
    iron = _number(row, "iron_percent", problems)
    u_iron = _number(row, "u_iron_percent", problems)
    if iron is not None and not 0 < iron <= _MOST_PERCENT:
        problems.append(
            RowProblem(
                row.number, "iron_percent", "Give percent by mass, above 0 to 100."
            )
        )
    if u_iron is not None and not 0 <= u_iron <= _MOST_PERCENT:
        message = "Give the standard uncertainty in percent by mass, from 0."
        problems.append(RowProblem(row.number, "u_iron_percent", message))
    if len(problems) > before or iron is None or u_iron is None:
        return None
    return _Row(row.get("vial"), row.get("lot"), iron, u_iron)


def _number(row: TableRow, column: str, problems: list[RowProblem]) -> float | None:
    try:
        return read_number(row.get(column))
    except NotANumber as error:
        problems.append(RowProblem(row.number, column, str(error)))
        return None


def _wrong_labels(rows: Iterable[TableRow]) -> Iterable[RowProblem]:
    for row in rows:
        label = row.get("vial")
        if not label:
            continue
        try:
            read_label(label)
        except BadCode as error:
            yield RowProblem(row.number, "vial", f"“{label}”: {error}")


def _contradictions(rows: Iterable[TableRow]) -> Iterable[RowProblem]:
    lots: dict[str, TableRow] = {}
    vials: dict[str, TableRow] = {}
    for row in rows:
        first = lots.setdefault(row.get("lot"), row)
        for column in ("iron_percent", "u_iron_percent"):
            if row.get(column) != first.get(column):
                yield RowProblem(
                    row.number,
                    column,
                    f"Lot {row.get('lot')} has another value in row {first.number}. "
                    "A lot has one value.",
                )
        twin = vials.setdefault(row.get("vial"), row)
        if twin is not row:
            yield RowProblem(
                row.number,
                "vial",
                f"Vial {row.get('vial')} is already in row {twin.number}.",
            )


def _store(course: Course, rows: list[_Row], now: datetime) -> VialsReport:
    n_vials = n_lots = n_values = 0
    with transaction.atomic():
        lots: dict[str, Lot] = {}
        for row in rows:
            if row.lot not in lots:
                lots[row.lot], is_new = Lot.objects.get_or_create(
                    course=course, code=row.lot
                )
                n_lots += is_new
                n_values += _assign(lots[row.lot], row, now)
            _, is_new = Vial.objects.update_or_create(
                course=course, code=row.vial, defaults={"lot": lots[row.lot]}
            )
            n_vials += is_new
    return VialsReport(n_vials=n_vials, n_lots=n_lots, n_values=n_values)


def _assign(lot: Lot, row: _Row, now: datetime) -> bool:
    last = lot.assigned_values.order_by("-valid_from").first()
    value = {"iron_percent": row.iron_percent, "u_iron_percent": row.u_iron_percent}
    if last is not None and (last.iron_percent, last.u_iron_percent) == (
        row.iron_percent,
        row.u_iron_percent,
    ):
        return False
    AssignedValue.objects.create(
        lot=lot, valid_from=now, reason="imported table of vials", **value
    )
    return True
