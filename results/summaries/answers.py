"""The answers table: one current submission a row, across sections and courses."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import overload

from django.db.models import Q, QuerySet

from results.models import Group
from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.policy.visits import State
from results.summaries.lines import FindingSummary
from results.summaries.section import GroupRow, group_rows


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerRow:
    """One row of the answers table.

    Attributes
    ----------
    lot, recovery
        Empty and None where the viewer may not see assigned values.
    top_finding, probability
        The likeliest finding about the bench; empty and None if there is none.
    worked_finding : str
        What was found about the group's own arithmetic.
    """

    course: str
    section_id: int
    section: str
    group_id: int
    group: str
    revision: int
    state: State
    station: str
    lot: str
    slope: float | None
    slope_se: float | None
    intercept: float | None
    residual_sd: float | None
    iron_percent: float | None
    standard_uncertainty: float | None
    low: float | None
    high: float | None
    recovery: float | None
    top_finding: str
    probability: float | None
    findings: tuple[str, ...]
    worked_finding: str


class AnswersTable(Sequence[AnswerRow]):
    """The rows that a person may see; only those that are asked for are read."""

    def __init__(self, groups: QuerySet[Group], rights: Rights) -> None:
        self._groups = groups
        self._rights = rights

    def __len__(self) -> int:
        return self._groups.count()

    @overload
    def __getitem__(self, place: int) -> AnswerRow: ...

    @overload
    def __getitem__(self, place: slice) -> tuple[AnswerRow, ...]: ...

    def __getitem__(self, place: int | slice) -> AnswerRow | tuple[AnswerRow, ...]:
        if isinstance(place, slice):
            return self._rows(self._groups[place])
        return self._rows(self._groups[place : place + 1])[0]

    def _rows(self, groups: Iterable[Group]) -> tuple[AnswerRow, ...]:
        in_order = list(groups)
        rows: dict[int, GroupRow] = {}
        for open_values in (True, False):
            chosen = [g for g in in_order if self._sees_assigned(g) is open_values]
            found = group_rows(chosen, open_values=open_values) if chosen else []
            rows |= {row.group_id: row for row in found}
        return tuple(_row(group, rows[group.pk]) for group in in_order)

    def _sees_assigned(self, group: Group) -> bool:
        course = group.section.course
        return self._rights.may_see_assigned(
            group.section_id,
            course.pk,
            assistants_see_assigned=course.assistants_see_assigned,
        )


def answers_table(
    *, rights: Rights, course: str = "", section_id: int | None = None
) -> AnswersTable:
    """Return the answers of all sections that a person may see.

    Parameters
    ----------
    course : str
        Code of the only course wanted; all of them if empty.
    section_id : int, optional
        The only section wanted.

    Raises
    ------
    NotFound
        The course or section named is not there, or not the person's to see.
    """
    visible = Q(section__course__in=rights.coordinated) | Q(section__in=rights.assisted)
    groups = Group.objects.filter(visible)
    if course:
        groups = groups.filter(section__course__code=course)
    if section_id is not None:
        groups = groups.filter(section__pk=section_id)
    if (course or section_id is not None) and not groups.exists():
        message = "There are no groups of yours in what was asked for."
        raise NotFound(message)
    return AnswersTable(
        groups.filter(submissions__is_current=True)
        .select_related("section__course")
        .order_by("section__course__code", "section__code", "code"),
        rights,
    )


def _row(group: Group, row: GroupRow) -> AnswerRow:
    bench, worked = row.at_the_bench, row.on_paper
    top: FindingSummary | None = bench[0] if bench else None
    return AnswerRow(
        course=group.section.course.code,
        section_id=group.section_id,
        section=group.section.code,
        group_id=group.pk,
        group=group.code,
        revision=row.revision or 0,
        state=row.state,
        station=row.station,
        lot=row.lot,
        slope=row.slope,
        slope_se=row.slope_se,
        intercept=row.intercept,
        residual_sd=row.residual_sd,
        iron_percent=row.iron_percent,
        standard_uncertainty=row.standard_uncertainty,
        low=row.low,
        high=row.high,
        recovery=row.recovery.ratio if row.recovery else None,
        top_finding=top.code if top else "",
        probability=top.probability if top else None,
        findings=tuple(found.code for found in bench),
        worked_finding=worked[0].code if worked else "",
    )
