"""What grades rest on, for some groups at once; the same few queries for any number."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from statistics import mean, stdev

from django.db.models import QuerySet

from results.models.allowances import Allowance
from results.models.assigned import Assigned, AssignedValues
from results.models.course import Group, Protocol
from results.models.grading import Grade, GradingScheme
from results.models.outcomes import Answer, Audience, Finding, state_of
from results.models.submissions import Submission
from results.policy.findings import is_worked, wording
from results.policy.language import marked
from results.policy.marking import (
    NOTHING_RECEIVED,
    AllowanceKind,
    GradingFacts,
    Noticed,
    Scheme,
    Suggestion,
    Terms,
    read_scheme,
    reasons_to_look,
)
from results.policy.marking.moves import Standing
from results.policy.protocol import read_protocol
from results.policy.typed import OWN_FIELDS
from results.policy.visits import State, unanswered

_MINUTE_S = 60.0
_NOT_COMPUTED = marked("The readings could not be computed.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One group's work; `facts` alone decide its grade."""

    group_id: int
    group: str
    section_id: int
    section: str
    course_id: int
    facts: GradingFacts
    is_waiting: bool = False
    submission_id: int | None = None
    lot_id: int | None = None
    station_id: int | None = None


@dataclass(frozen=True, slots=True)
class Supposed:
    """A value that a lot has not got yet."""

    lot_id: int
    valid_from: datetime
    value: Assigned


def load_work(
    groups: QuerySet[Group], *, supposing: Supposed | None = None
) -> list[Work]:
    """Read the work of some groups; six queries.

    Parameters
    ----------
    supposing : Supposed, optional
        Read it as if a lot had been given one more value.
    """
    # groups; current submissions; all revisions; protocols; findings; values
    members = list(groups.select_related("section").order_by("pk"))
    ids = [group.pk for group in members]
    current = {
        submission.group_id: submission
        for submission in Submission.objects.filter(
            group_id__in=ids, is_current=True
        ).select_related("answer", "pending", "vial")
    }
    revisions: dict[int, list[datetime]] = defaultdict(list)
    for group_id, received_at in (
        Submission.objects.filter(group_id__in=ids)
        .order_by("revision")
        .values_list("group_id", "received_at")
    ):
        revisions[group_id].append(received_at)
    reader = _Reader(list(current.values()), supposing)
    return [
        reader.work(group, current.get(group.pk), revisions[group.pk])
        for group in members
    ]


def _tubes_by_protocol(protocol_ids: Iterable[int]) -> dict[int, int]:
    schemes = {
        protocol.pk: read_protocol(protocol.document).scheme
        for protocol in Protocol.objects.filter(pk__in=protocol_ids)
    }
    return {
        pk: len(scheme.standards) + len(scheme.unknowns)
        for pk, scheme in schemes.items()
    }


def _findings(submission_ids: Iterable[int]) -> dict[int, list[Finding]]:
    found: dict[int, list[Finding]] = defaultdict(list)
    for finding in Finding.objects.filter(
        submission_id__in=list(submission_ids), audience=Audience.STAFF
    ).order_by("submission_id", "-probability", "code", "tube"):
        found[finding.submission_id].append(finding)
    return found


class _Reader:
    """Reads facts off submissions, with what all of them share at hand."""

    def __init__(
        self, submissions: list[Submission], supposing: Supposed | None
    ) -> None:
        self._tubes = _tubes_by_protocol({s.protocol_id for s in submissions})
        self._findings = _findings([s.pk for s in submissions])
        values = AssignedValues(s.vial.lot_id for s in submissions if s.vial)
        if supposing is not None:
            values = values.supposing(
                supposing.lot_id, supposing.valid_from, supposing.value
            )
        self._values = values

    def work(
        self, group: Group, submission: Submission | None, received: list[datetime]
    ) -> Work:
        section = group.section
        facts, state = NOTHING_RECEIVED, State.NOT_SENT
        if submission is not None:
            answer: Answer | None = getattr(submission, "answer", None)
            state = state_of(answer, getattr(submission, "pending", None))
            readable = answer if state is not State.PARKED else None
            facts = self._facts(submission, readable)
            facts = _in_time(facts, received, section.due_at)
            facts = self._with_look(facts, submission, state)
        return Work(
            group_id=group.pk,
            group=group.code,
            section_id=section.pk,
            section=section.code,
            course_id=section.course_id,
            facts=facts,
            is_waiting=state is State.WAITING,
            submission_id=submission.pk if submission else None,
            lot_id=submission.vial.lot_id if submission and submission.vial else None,
            station_id=submission.station_id if submission else None,
        )

    def _facts(self, submission: Submission, answer: Answer | None) -> GradingFacts:
        lot_id = submission.vial.lot_id if submission.vial else None
        assigned = self._values.at(lot_id, submission.received_at)
        return GradingFacts(
            no_answer_because=unanswered(answer.reason) if answer else _NOT_COMPUTED,
            iron_percent=answer.iron_percent if answer else None,
            assigned_percent=assigned.iron_percent if assigned else None,
            u_assigned_percent=assigned.u_iron_percent if assigned else 0.0,
            spread_percent=_spread(answer) if answer else None,
            tubes_read=answer.n_standards + answer.n_unknowns if answer else 0,
            tubes_expected=self._tubes[submission.protocol_id],
            gave_own=any(getattr(submission, name) for name in OWN_FIELDS),
            slips=_slips(self._findings.get(submission.pk, [])),
        )

    def _with_look(
        self, facts: GradingFacts, submission: Submission, state: State
    ) -> GradingFacts:
        noticed = [
            Noticed(found.code, found.probability, found.harmless)
            for found in self._findings.get(submission.pk, [])
        ]
        look = reasons_to_look(state, noticed, error_percent=facts.error_percent)
        return replace(facts, look=look)


def _in_time(
    facts: GradingFacts, received: list[datetime], due_at: datetime | None
) -> GradingFacts:
    """Return the facts with how late the first revision was, and what came after."""
    again = len(received) - 1
    if due_at is None:
        return replace(facts, again=again)
    late_s = (received[0] - due_at).total_seconds()
    return replace(
        facts,
        late_min=max(late_s, 0.0) / _MINUTE_S,
        again_after_due=sum(moment > due_at for moment in received[1:]),
        again=again,
    )


def _slips(findings: list[Finding]) -> tuple[str, ...]:
    """Return one title for each step of the working that a slip spoils."""
    by_stage: dict[str, str] = {}
    for finding in findings:
        if is_worked(finding.code) and not finding.harmless:
            by_stage.setdefault(finding.stage, wording(finding.code).title)
    return tuple(by_stage.values())


def _spread(answer: Answer) -> float | None:
    """Return the relative sd of the unknown tubes, percent; the slope cancels."""
    above: list[float] = [
        point["absorbance"] - (answer.intercept or 0.0)
        for point in answer.points
        if point["kind"] == "unknown"
    ]
    if len(above) < 2 or mean(above) <= 0:
        return None
    return 100 * stdev(above) / mean(above)


class Granted:
    """The allowances of some courses; one query."""

    def __init__(self, course_ids: Iterable[int]) -> None:
        self._rows = list(
            Allowance.objects.filter(course_id__in=set(course_ids))
            .select_related("lot", "station", "section")
            .order_by("pk")
        )

    def for_work(self, work: Work) -> list[Terms]:
        """Return what was granted for a group's lot, station or section."""
        return [terms_of(row) for row in self._rows if concerns(row, work)]


def concerns(allowance: Allowance, work: Work) -> bool:
    """Whether an allowance was granted for a group's lot, station or section."""
    pairs = (
        (allowance.lot_id, work.lot_id),
        (allowance.station_id, work.station_id),
        (allowance.section_id, work.section_id),
    )
    return allowance.course_id == work.course_id and any(
        granted is not None and granted == own for granted, own in pairs
    )


def terms_of(allowance: Allowance) -> Terms:
    """Return an allowance as a grade sees it."""
    return Terms(
        AllowanceKind(allowance.kind),
        allowance.label,
        allowance.reason,
        allowance.amount or 0.0,
    )


def schemes_in_force(course_ids: Iterable[int]) -> dict[int, tuple[int, Scheme]]:
    """Return the newest scheme of each course that has one, by course; one query."""
    newest: dict[int, GradingScheme] = {}
    for row in GradingScheme.objects.filter(course_id__in=set(course_ids)).order_by(
        "version"
    ):
        newest[row.course_id] = row
    return {
        course_id: (row.pk, read_scheme(row.document))
        for course_id, row in newest.items()
    }


def standing_of(grade: Grade) -> Standing:
    """Return a stored grade as policy sees it."""
    return Standing(
        suggested=Suggestion.from_json(grade.suggested),
        final=grade.final_points,
        is_override=grade.is_override,
        proposed=Suggestion.from_json(grade.proposed) if grade.proposed_at else None,
        declined=Suggestion.from_json(grade.declined) if grade.declined else None,
    )
