"""A section as its teaching assistant sees it: every group, most urgent first."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from results.models import Answer, AssignedValues, Group, Section, Student, Submission
from results.models.outcomes import state_of
from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.policy.typed import OWN_FIELDS
from results.policy.visits import (
    State,
    Visit,
    asks_for_a_visit,
    reason_in_words,
    visit,
)
from results.summaries.lines import (
    FindingSummary,
    LinePicture,
    findings_for_staff,
    picture_of,
)
from results.summaries.spread import Spread, spread_of


@dataclass(frozen=True, slots=True)
class Recovery:
    """Recomputed over assigned iron content, and the values behind it.

    Attributes
    ----------
    ratio : float
        Recomputed iron content divided by the assigned value.
    assigned_percent, u_assigned_percent : float
        The assigned value and its standard uncertainty, % by mass.
    """

    ratio: float
    assigned_percent: float
    u_assigned_percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRow:
    """One group of a section.

    Attributes
    ----------
    lot, recovery
        Empty and None where the viewer may not see assigned values.
    parked_error : str
        Why the submission could not be computed, for parked ones.
    gave_own : bool
        Whether the group gave any number of its own working.
    """

    group_id: int
    group: str
    students: tuple[str, ...]
    state: State
    visit: Visit
    revision: int | None
    received_at: datetime | None
    is_late: bool
    station: str
    vial: str
    lot: str
    n_standards: int
    slope: float | None
    slope_se: float | None
    intercept: float | None
    residual_sd: float | None
    iron_percent: float | None
    standard_uncertainty: float | None
    low: float | None
    high: float | None
    recovery: Recovery | None
    no_answer_because: str
    parked_error: str
    line: LinePicture | None
    findings: tuple[FindingSummary, ...]
    gave_own: bool

    @property
    def at_the_bench(self) -> tuple[FindingSummary, ...]:
        """What was found at the bench, likeliest first."""
        return tuple(one for one in self.findings if not one.is_worked)

    @property
    def on_paper(self) -> tuple[FindingSummary, ...]:
        """What was found in the group's own working, likeliest first."""
        return tuple(one for one in self.findings if one.is_worked)

    @property
    def slip_on_paper(self) -> str:
        """Title of the likeliest slip that changes the worked answer, or nothing."""
        return next((one.title for one in self.on_paper if not one.harmless), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionSummary:
    """A section at one moment.

    Attributes
    ----------
    groups : tuple of GroupRow
        By urgency of a visit, then by code.
    recovery : Spread or None
        Spread of the recoveries that the viewer may see.
    """

    section_id: int
    section: str
    title: str
    course: str
    course_title: str
    opens_at: datetime | None
    due_at: datetime | None
    closes_at: datetime | None
    may_see_assigned: bool
    groups: tuple[GroupRow, ...]
    recovery: Spread | None
    slope: Spread | None

    @property
    def n_submitted(self) -> int:
        """Number of groups from which something was received."""
        return sum(row.revision is not None for row in self.groups)

    @property
    def n_waiting(self) -> int:
        """Number of groups whose answer is still to come."""
        return sum(row.state is State.WAITING for row in self.groups)

    @property
    def n_to_visit(self) -> int:
        """Number of groups whose readings want a look."""
        return sum(row.visit.urgency > 1 for row in self.groups)


def section_summary(section_id: int, *, rights: Rights) -> SectionSummary:
    """Return a section; the same number of queries however many groups.

    Raises
    ------
    NotFound
        There is no such section, or the viewer has no duty in it.
    """
    section = Section.objects.select_related("course").filter(pk=section_id).first()
    if section is None or not rights.may_see_section(section_id, section.course_id):
        message = "There is no such section among yours."
        raise NotFound(message)
    open_values = rights.may_see_assigned(
        section_id,
        section.course_id,
        assistants_see_assigned=section.course.assistants_see_assigned,
    )
    rows = sorted(
        group_rows(Group.objects.filter(section=section), open_values=open_values),
        key=lambda row: (-row.visit.urgency, natural(row.group)),
    )
    return SectionSummary(
        section_id=section.pk,
        section=section.code,
        title=section.title,
        course=section.course.code,
        course_title=section.course.title,
        opens_at=section.opens_at,
        due_at=section.due_at,
        closes_at=section.closes_at,
        may_see_assigned=open_values,
        groups=tuple(rows),
        recovery=spread_of(row.recovery.ratio for row in rows if row.recovery),
        slope=spread_of(row.slope for row in rows if row.slope is not None),
    )


def group_rows(groups: Iterable[Group], *, open_values: bool) -> list[GroupRow]:
    """Return the rows of some groups; five queries however many.

    Parameters
    ----------
    open_values : bool
        Whether the viewer may see lots, assigned values and recoveries.
    """
    codes = {group.pk: group.code for group in groups}
    # students; current submissions with all that hangs on them; findings; values
    students: dict[int, list[str]] = {}
    for group_id, name in (
        Student.objects.filter(group__in=codes)
        .order_by("name")
        .values_list("group_id", "name")
    ):
        students.setdefault(group_id, []).append(name)
    current = {
        submission.group_id: submission
        for submission in Submission.objects.filter(
            group__in=codes, is_current=True
        ).select_related("station", "vial__lot", "answer", "pending")
    }
    findings = findings_for_staff(submission.pk for submission in current.values())
    lots = [s.vial.lot_id for s in current.values() if s.vial] if open_values else []
    values = AssignedValues(lots)
    return [
        _row(
            group_id,
            code,
            tuple(students.get(group_id, ())),
            current.get(group_id),
            findings,
            values if open_values else None,
        )
        for group_id, code in codes.items()
    ]


def _row(
    group_id: int,
    code: str,
    students: tuple[str, ...],
    submission: Submission | None,
    findings: dict[int, tuple[FindingSummary, ...]],
    values: AssignedValues | None,
) -> GroupRow:
    answer: Answer | None = getattr(submission, "answer", None)
    pending = getattr(submission, "pending", None)
    state = state_of(answer, pending) if submission else State.NOT_SENT
    found = findings.get(submission.pk, ()) if submission else ()
    recovery = _recovery(submission, answer, values)
    return GroupRow(
        group_id=group_id,
        group=code,
        students=students,
        state=state,
        visit=visit(
            state,
            reason=answer.reason if answer else "",
            top_finding=next(
                (one.title for one in found if asks_for_a_visit(one.code)),
                "",
            ),
            recovery=recovery.ratio if recovery else None,
        ),
        revision=submission.revision if submission else None,
        received_at=submission.received_at if submission else None,
        is_late=submission.is_late if submission else False,
        station=submission.station.code if submission else "",
        vial=submission.vial.code if submission and submission.vial else "",
        lot=submission.vial.lot.code
        if submission and submission.vial and values
        else "",
        n_standards=answer.n_standards if answer else 0,
        slope=answer.slope if answer else None,
        slope_se=answer.slope_se if answer else None,
        intercept=answer.intercept if answer else None,
        residual_sd=answer.residual_sd if answer else None,
        iron_percent=answer.iron_percent if answer else None,
        standard_uncertainty=answer.standard_uncertainty if answer else None,
        low=answer.low if answer else None,
        high=answer.high if answer else None,
        recovery=recovery,
        no_answer_because=reason_in_words(answer.reason) if answer else "",
        parked_error=pending.last_error if pending and pending.parked_at else "",
        line=picture_of(answer, found) if answer else None,
        findings=found,
        gave_own=any(getattr(submission, name, "") for name in OWN_FIELDS),
    )


def _recovery(
    submission: Submission | None,
    answer: Answer | None,
    values: AssignedValues | None,
) -> Recovery | None:
    if submission is None or answer is None or values is None or not submission.vial:
        return None
    assigned = values.at(submission.vial.lot_id, submission.received_at)
    if assigned is None or answer.iron_percent is None:
        return None
    return Recovery(
        ratio=answer.iron_percent / assigned.iron_percent,
        assigned_percent=assigned.iron_percent,
        u_assigned_percent=assigned.u_iron_percent,
    )


def natural(code: str) -> tuple[int, str]:
    """Order "2" before "10", and words after numbers: the key of a code."""
    return (int(code), "") if code.isdigit() else (1_000_000, code)
