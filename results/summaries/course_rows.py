"""Every group of a course in the few columns that a page about thousands needs."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from results.models import AssignedValues, Finding, Group, Submission
from results.models.outcomes import Audience, state_from
from results.policy.findings import is_worked, say, wording
from results.policy.typed import OWN_FIELDS
from results.policy.visits import State, asks_for_a_visit, visit


@dataclass(frozen=True, slots=True)
class CourseFinding:
    """One finding about a group, put into words only where they are asked for."""

    code: str
    tube: str
    probability: float
    numbers: dict[str, Any]

    @property
    def title(self) -> str:
        """The finding in two to five words."""
        return wording(self.code).title

    @property
    def pattern(self) -> str:
        """What many such findings would mean, for coordinators."""
        return say(wording(self.code).coordinator, tube=self.tube, numbers=self.numbers)

    @property
    def is_worked(self) -> bool:
        """Whether it is about the group's own arithmetic."""
        return is_worked(self.code)


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseRow:
    """One group of a course.

    Attributes
    ----------
    recovery : float or None
        Recomputed over assigned iron content.
    findings : tuple of CourseFinding
        Likeliest first.
    gave_own : bool
        Whether the group gave any number of its own working.
    """

    group_id: int
    group: str
    section_id: int
    state: State
    urgency: int
    station: str
    slope: float | None
    intercept: float | None
    recovery: float | None
    findings: tuple[CourseFinding, ...]
    gave_own: bool

    @property
    def at_the_bench(self) -> tuple[CourseFinding, ...]:
        """What was found at the bench, likeliest first."""
        return tuple(one for one in self.findings if not one.is_worked)

    @property
    def on_paper(self) -> tuple[CourseFinding, ...]:
        """What was found in the group's own working, likeliest first."""
        return tuple(one for one in self.findings if one.is_worked)


@dataclass(frozen=True, slots=True)
class _Sent:
    """The current submission of a group, and what was computed from it."""

    submission_id: int
    station: str
    lot_id: int | None
    received_at: datetime
    state: State
    reason: str
    slope: float | None
    intercept: float | None
    iron_percent: float | None
    gave_own: bool


def course_rows(course_id: int) -> list[CourseRow]:
    """Return all groups of a course; four queries, however many.

    Answers are read column by column: their details and points, which are most of
    them, stay in the database.
    """
    sent = _sent(course_id)
    findings = _findings(course_id)
    values = AssignedValues(one.lot_id for one in sent.values() if one.lot_id)
    return [
        _row(group_id, code, section_id, sent.get(group_id), findings, values)
        for group_id, code, section_id in Group.objects.filter(
            section__course_id=course_id
        )
        .order_by("pk")
        .values_list("pk", "code", "section_id")
    ]


def _sent(course_id: int) -> dict[int, _Sent]:
    return {
        group_id: _Sent(
            submission_id=pk,
            station=station,
            lot_id=lot_id,
            received_at=received_at,
            state=state_from(
                is_parked=parked_at is not None,
                is_computed=answer_id is not None,
                reason=reason or "",
            ),
            reason=reason or "",
            slope=slope,
            intercept=intercept,
            iron_percent=iron_percent,
            gave_own=any(own),
        )
        for (
            group_id,
            pk,
            station,
            lot_id,
            received_at,
            parked_at,
            answer_id,
            reason,
            slope,
            intercept,
            iron_percent,
            *own,
        ) in Submission.objects.filter(
            group__section__course_id=course_id, is_current=True
        ).values_list(
            "group_id",
            "pk",
            "station__code",
            "vial__lot_id",
            "received_at",
            "pending__parked_at",
            "answer__pk",
            "answer__reason",
            "answer__slope",
            "answer__intercept",
            "answer__iron_percent",
            *OWN_FIELDS,
        )
    }


def _findings(course_id: int) -> dict[int, list[CourseFinding]]:
    found: dict[int, list[CourseFinding]] = defaultdict(list)
    for submission_id, code, tube, probability, numbers in (
        Finding.objects.filter(
            submission__group__section__course_id=course_id,
            submission__is_current=True,
            audience=Audience.STAFF,
        )
        .order_by("submission_id", "-probability", "code", "tube")
        .values_list("submission_id", "code", "tube", "probability", "numbers")
    ):
        found[submission_id].append(CourseFinding(code, tube, probability, numbers))
    return found


def _row(
    group_id: int,
    code: str,
    section_id: int,
    sent: _Sent | None,
    findings: dict[int, list[CourseFinding]],
    values: AssignedValues,
) -> CourseRow:
    found = tuple(findings.get(sent.submission_id, ())) if sent else ()
    recovery = _recovery(sent, values)
    state = sent.state if sent else State.NOT_SENT
    urgency = visit(
        state,
        reason=sent.reason if sent else "",
        top_finding=next(
            (one.title for one in found if asks_for_a_visit(one.code)), ""
        ),
        recovery=recovery,
    ).urgency
    return CourseRow(
        group_id=group_id,
        group=code,
        section_id=section_id,
        state=state,
        urgency=urgency,
        station=sent.station if sent else "",
        slope=sent.slope if sent else None,
        intercept=sent.intercept if sent else None,
        recovery=recovery,
        findings=found,
        gave_own=bool(sent and sent.gave_own),
    )


def _recovery(sent: _Sent | None, values: AssignedValues) -> float | None:
    if sent is None or sent.iron_percent is None or sent.lot_id is None:
        return None
    assigned = values.at(sent.lot_id, sent.received_at)
    return sent.iron_percent / assigned.iron_percent if assigned else None
