"""A group's own results, as the group may see them.

Nothing here depends on an assigned value: the lot is not even read.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from results.models import Answer, Course, Group, Submission
from results.models.outcomes import state_of
from results.policy.access import IronShown, iron_is_shown, own_answer_is_awaited
from results.policy.language import marked, tell
from results.policy.refusals import NotFound
from results.policy.typed import OWN_FIELDS
from results.policy.visits import State, reason_in_words
from results.summaries.lines import (
    FindingSummary,
    LinePicture,
    findings_for_students,
    picture_of,
)

# What tells how far a submission has come; an answer's details would be most of a row.
_STATE = (
    "revision",
    "is_current",
    "received_at",
    "is_late",
    "answer__reason",
    "answer__computed_at",
    "pending__parked_at",
)
_OWN_FIRST = marked(
    "Give your own worked answer first; what we can say of it comes then."
)


@dataclass(frozen=True, slots=True)
class GroupLabel:
    """Who is signed in."""

    group_id: int
    course: str
    course_title: str
    section: str
    group: str

    def __str__(self) -> str:
        return f"{self.course}/{self.section}/{self.group}"


@dataclass(frozen=True, slots=True)
class SubmissionState:
    """How far one submission has come; `computed_at` is None until it is computed."""

    submission_id: int
    revision: int
    is_current: bool
    received_at: datetime
    is_late: bool
    state: State
    computed_at: datetime | None


@dataclass(frozen=True, slots=True)
class OwnIron:
    """A group's recomputed iron content, % by mass, with its 95 % interval."""

    iron_percent: float
    standard_uncertainty: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupResult:
    """What a group sees of one of its submissions.

    Attributes
    ----------
    iron : OwnIron or None
        None while the course's policy keeps it back or there is no answer;
        `iron_note` then says which.
    gave_own : bool
        Whether the group gave any number of its own working.
    own_is_awaited : bool
        Whether the course keeps our value back until the group gave its own.
    """

    submission: SubmissionState
    line: LinePicture | None
    no_answer_because: str
    n_standards: int
    n_unknowns: int
    slope_se: float | None
    unknown_mg_L: float | None
    r_squared: float | None
    findings: tuple[FindingSummary, ...]
    iron: OwnIron | None
    iron_note: str
    gave_own: bool
    own_is_awaited: bool

    @property
    def at_the_bench(self) -> tuple[FindingSummary, ...]:
        """What was found at the bench, likeliest first."""
        return tuple(one for one in self.findings if not one.is_worked)

    @property
    def on_paper(self) -> tuple[FindingSummary, ...]:
        """What was found in the group's own working, likeliest first."""
        return tuple(one for one in self.findings if one.is_worked)


def group_label(group_id: int) -> GroupLabel | None:
    """Return whom a group is; None if it exists no more."""
    rows = Group.objects.filter(pk=group_id).values_list(
        "pk", "section__course__code", "section__course__title", "section__code", "code"
    )
    return next((GroupLabel(*row) for row in rows), None)


def own_submissions(group_id: int) -> tuple[SubmissionState, ...]:
    """Return a group's submissions, newest first; one query."""
    rows = Submission.objects.filter(group_id=group_id).select_related(
        "answer", "pending"
    )
    return tuple(_state(row) for row in rows.only(*_STATE).order_by("-revision"))


def own_result(
    group_id: int, *, now: datetime, revision: int | None = None
) -> GroupResult | None:
    """Return a group's result for a revision, the current one unless named.

    Returns None if the group has not submitted yet.

    Raises
    ------
    NotFound
        The group has no such revision.
    """
    rows = _own(group_id)
    if revision is None:
        submission = rows.filter(is_current=True).first()
        if submission is None:
            return None
    else:
        submission = rows.filter(revision=revision).first()
        if submission is None:
            message = tell(
                "There is no revision {revision} of your readings.", revision=revision
            )
            raise NotFound(message)
    return _result(submission, now)


def _own(group_id: int) -> QuerySet[Submission]:
    return Submission.objects.filter(group_id=group_id).select_related(
        "answer", "pending", "group__section__course"
    )


def _state(submission: Submission) -> SubmissionState:
    answer: Answer | None = getattr(submission, "answer", None)
    return SubmissionState(
        submission_id=submission.pk,
        revision=submission.revision,
        is_current=submission.is_current,
        received_at=submission.received_at,
        is_late=submission.is_late,
        state=state_of(answer, getattr(submission, "pending", None)),
        computed_at=answer.computed_at if answer else None,
    )


def _result(submission: Submission, now: datetime) -> GroupResult:
    answer: Answer | None = getattr(submission, "answer", None)
    findings: tuple[FindingSummary, ...] = ()
    if answer is not None:
        # Stored with it: a page that waits looks often, and asks for none in vain.
        findings = findings_for_students([submission.pk]).get(submission.pk, ())
    gave_own = any(getattr(submission, name) for name in OWN_FIELDS)
    awaited = _awaits_own(submission, now, gave_own=gave_own)
    iron, iron_note = (
        (None, tell(_OWN_FIRST)) if awaited else _iron(submission, answer, now)
    )
    return GroupResult(
        submission=_state(submission),
        line=picture_of(answer, findings) if answer else None,
        no_answer_because=reason_in_words(answer.reason) if answer else "",
        n_standards=answer.n_standards if answer else 0,
        n_unknowns=answer.n_unknowns if answer else 0,
        slope_se=answer.slope_se if answer else None,
        unknown_mg_L=answer.unknown_mg_L if answer else None,
        r_squared=answer.r_squared if answer else None,
        findings=findings,
        iron=iron,
        iron_note=iron_note,
        gave_own=gave_own,
        own_is_awaited=awaited,
    )


def _awaits_own(submission: Submission, now: datetime, *, gave_own: bool) -> bool:
    section = submission.group.section
    return own_answer_is_awaited(
        own_answer_first=section.course.own_answer_first,
        gave_own=gave_own,
        released=section.released_at is not None and section.released_at <= now,
    )


def _iron(
    submission: Submission, answer: Answer | None, now: datetime
) -> tuple[OwnIron | None, str]:
    section = submission.group.section
    policy = IronShown(section.course.iron_shown)
    if not iron_is_shown(
        policy, now=now, due_at=section.due_at, released_at=section.released_at
    ):
        return None, _when_shown(policy, section.course, section.due_at)
    if answer is None or answer.reason:
        return None, ""
    assert answer.iron_percent is not None  # noqa: S101 - a constraint holds it
    return (
        OwnIron(
            answer.iron_percent,
            answer.standard_uncertainty or 0.0,
            answer.low if answer.low is not None else answer.iron_percent,
            answer.high if answer.high is not None else answer.iron_percent,
        ),
        "",
    )


def _when_shown(policy: IronShown, course: Course, due_at: datetime | None) -> str:
    if policy is IronShown.AFTER_DUE and due_at is not None:
        return tell("Our value for your iron content is shown after the due time.")
    return tell(
        "Our value for your iron content is shown when {course} releases it.",
        course=course.title,
    )
