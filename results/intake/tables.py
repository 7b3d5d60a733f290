"""Readings from a table: one reading a row, a group's rows together or apart."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from results import tasks
from results.intake.places import Places
from results.intake.submissions import store_submission
from results.models import Submission
from results.models.submissions import Source
from results.policy.refusals import NotAdmitted, Problem, Refusal
from results.policy.tables import RowProblem, TableRow, read_table
from results.policy.typed import OWN_FIELDS, RawReading, RawSubmission, Scale

_REQUIRED = (
    "section",
    "group",
    "station",
    "standard_mass_g",
    "unknown_mass_g",
    "tube",
)
_KNOWN = ("vial", "replicate", "taken_mL", "percent_T", "absorbance", *OWN_FIELDS)
# These belong to the group; a row may repeat them, and may not contradict them.
_OF_THE_GROUP = ("station", "vial", "standard_mass_g", "unknown_mass_g", *OWN_FIELDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class TableReport:
    """What became of an imported table.

    Attributes
    ----------
    n_groups, n_readings : int
        Stored as new submissions.
    n_unchanged : int
        Groups whose rows were imported before, to the letter.
    created : tuple of str
        Sections, groups and stations that were made.
    problems : tuple of RowProblem
        What needs mending, by row.
    imported : bool
        False if nothing was kept.
    """

    n_groups: int = 0
    n_readings: int = 0
    n_unchanged: int = 0
    created: tuple[str, ...] = ()
    problems: tuple[RowProblem, ...] = ()
    imported: bool = False


@dataclass(slots=True)
class _Tally:
    n_groups: int = 0
    n_readings: int = 0
    n_unchanged: int = 0
    problems: list[RowProblem] = field(default_factory=list)


def import_readings(
    *,
    course_code: str,
    text: bytes,
    create: bool,
    keep_good: bool,
    now: datetime,
) -> TableReport:
    """Import a table of readings.

    Parameters
    ----------
    text : bytes
        The file's content.
    create : bool
        Make sections, groups and stations that are missing, and issue the
        vials named.
    keep_good : bool
        Keep the groups without problems when others have some; otherwise one
        problem keeps the whole table out.

    Raises
    ------
    NotFound
        There is no such course.
    """
    places = Places(course_code, create=create, now=now)
    table = read_table(text, required=_REQUIRED, known=_KNOWN)
    if table.problems and not (keep_good and table.rows):
        return TableReport(problems=table.problems)
    spoilt = _spoilt_columns(table.columns)
    if spoilt:
        return TableReport(problems=(spoilt,))
    tally = _Tally(problems=list(table.problems))
    with transaction.atomic():
        for rows in _by_group(table.rows):
            _import_group(rows, places, tally, now)
        take_back = bool(tally.problems) and not keep_good
        transaction.set_rollback(take_back)
        transaction.on_commit(tasks.wake_worker)
    if take_back:
        return TableReport(problems=_in_order(tally.problems))
    return TableReport(
        n_groups=tally.n_groups,
        n_readings=tally.n_readings,
        n_unchanged=tally.n_unchanged,
        created=tuple(places.created),
        problems=_in_order(tally.problems),
        imported=True,
    )


def _spoilt_columns(columns: tuple[str, ...]) -> RowProblem | None:
    if "percent_T" in columns or "absorbance" in columns:
        return None
    return RowProblem(
        1, "percent_T", "A column percent_T or absorbance is missing: the readings."
    )


def _in_order(problems: Iterable[RowProblem]) -> tuple[RowProblem, ...]:
    return tuple(sorted(problems, key=lambda problem: problem.row))


def _by_group(rows: Iterable[TableRow]) -> list[list[TableRow]]:
    groups: dict[tuple[str, str], list[TableRow]] = {}
    for row in rows:
        groups.setdefault((row.get("section"), row.get("group")), []).append(row)
    return list(groups.values())


def _import_group(
    rows: list[TableRow], places: Places, tally: _Tally, now: datetime
) -> None:
    problems = list(_contradictions(rows))
    if problems:
        tally.problems += problems
        return
    raw = _raw(rows)
    mark = places.mark()
    try:
        with transaction.atomic():
            group_id = places.group(
                section=rows[0].get("section"),
                group=rows[0].get("group"),
                station=raw.station,
                vial=raw.vial,
            )
            accepted = store_submission(
                group_id=group_id,
                raw=raw,
                source=Source.TABLE,
                idempotency_key=_key(rows),
                received_at=now,
                lenient=True,
            )
    except NotAdmitted as refusal:
        places.forget(mark)
        tally.problems += [_place(problem, rows) for problem in refusal.problems]
        return
    except Refusal as refusal:
        places.forget(mark)
        tally.problems.append(RowProblem(rows[0].number, "section", refusal.sentence))
        return
    if not accepted.created:
        tally.n_unchanged += 1
        return
    tally.n_groups += 1
    tally.n_readings += Submission.objects.get(
        pk=accepted.submission_id
    ).readings.count()


def _contradictions(rows: list[TableRow]) -> Iterable[RowProblem]:
    for column in _OF_THE_GROUP:
        named = [row for row in rows if row.get(column)]
        for row in named[1:]:
            if row.get(column) != named[0].get(column):
                yield RowProblem(
                    row.number,
                    column,
                    f"“{row.get(column)}” differs from “{named[0].get(column)}” in "
                    f"row {named[0].number} of the same group.",
                )


def _raw(rows: list[TableRow]) -> RawSubmission:
    of_group = {
        column: next((row.get(column) for row in rows if row.get(column)), "")
        for column in _OF_THE_GROUP
    }
    return RawSubmission(
        station=of_group["station"],
        vial=of_group["vial"],
        standard_mass_g=of_group["standard_mass_g"],
        unknown_mass_g=of_group["unknown_mass_g"],
        readings=tuple(_reading(row) for row in rows),
        own={name: of_group[name] for name in OWN_FIELDS},
    )


def _reading(row: TableRow) -> RawReading:
    in_absorbance = bool(row.get("absorbance")) and not row.get("percent_T")
    return RawReading(
        tube=row.get("tube"),
        value=row.get("absorbance" if in_absorbance else "percent_T"),
        scale=Scale.ABSORBANCE if in_absorbance else Scale.PERCENT_T,
        replicate=row.get("replicate"),
        taken_mL=row.get("taken_mL"),
    )


def _place(problem: Problem, rows: list[TableRow]) -> RowProblem:
    match problem.where:
        case ("readings", int(index), str(name)):
            row = rows[index]
            column = name if name != "value" else _value_column(row)
            return RowProblem(row.number, column, problem.message)
        case ("readings",):
            return RowProblem(rows[0].number, "tube", problem.message)
        case _:
            column = str(problem.where[0])
            named = (row.number for row in rows if row.get(column))
            return RowProblem(next(named, rows[0].number), column, problem.message)


def _value_column(row: TableRow) -> str:
    return "percent_T" if row.get("percent_T") else "absorbance"


def _key(rows: list[TableRow]) -> str:
    content = "\n".join(repr(sorted(row.cells.items())) for row in rows)
    return "table-" + hashlib.sha256(content.encode()).hexdigest()
