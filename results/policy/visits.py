"""Which group wants a visit first, and why: the order of the section page."""

from dataclasses import dataclass
from enum import StrEnum

from results.policy.findings import is_worked
from results.policy.language import marked, tell

# Half the full-credit window of many courses (common practice, no source): a
# recomputed answer further out is worth a look even where no slip was found.
_FAR_OFF = 0.10
_OFF = 0.05


class State(StrEnum):
    """How far a group's current submission has come."""

    NOT_SENT = "not_sent"
    WAITING = "waiting"
    COMPUTED = "computed"
    NO_ANSWER = "no_answer"
    PARKED = "parked"

    @property
    def label(self) -> str:
        """The state in words."""
        return {
            State.NOT_SENT: tell("not sent yet"),
            State.WAITING: tell("waiting"),
            State.COMPUTED: tell("computed"),
            State.NO_ANSWER: tell("no answer"),
            State.PARKED: tell("set aside"),
        }[self]


REASONS = {
    "no_mass": marked("A mass is missing."),
    "too_few_standards": marked("Fewer than three standards have a reading."),
    "standards_all_alike": marked("All standards have the same concentration."),
    "line_not_rising": marked("The line does not rise with concentration."),
    "no_unknown_reading": marked("No unknown tube has a reading."),
    "unknown_not_above_zero": marked(
        "The unknown shows no iron above the line's zero."
    ),
    "no_finite_interval": marked("The line is too uncertain for an interval."),
}
_SOME_REASON = marked("The readings allow no answer.")

# Matters for a later word, not for a walk to the bench now.
_NO_REASON_TO_GO = frozenset({"same_readings", "nominal_mass"})


def asks_for_a_visit(code: str) -> bool:
    """Whether a finding is a reason to visit the group that it is about.

    A slip on paper is none: it can be told on paper.
    """
    return not is_worked(code) and code not in _NO_REASON_TO_GO


def unanswered(reason: str) -> str:
    """Return why there is no answer, as a sentence to be told; empty where there is."""
    return REASONS.get(reason, _SOME_REASON) if reason else ""


def reason_in_words(reason: str) -> str:
    """Return why there is no answer, as a sentence; empty where there is one."""
    return tell(unanswered(reason))


@dataclass(frozen=True, slots=True)
class Visit:
    """How urgently a group wants a visit: 0 not at all, higher sooner."""

    urgency: int
    why: str


def visit(
    state: State,
    *,
    reason: str = "",
    top_finding: str = "",
    recovery: float | None = None,
) -> Visit:
    """Judge who needs a visit.

    Parameters
    ----------
    state : State
        How far the current submission has come.
    reason : str
        Code of why there is no answer.
    top_finding : str
        Title of the likeliest finding.
    recovery : float, optional
        Recomputed iron content over the assigned value, where the viewer may
        see it.
    """
    error = 0.0 if recovery is None else abs(recovery - 1)
    # A sentence is told only where it is used: a course asks ten thousand times.
    if state is State.PARKED:
        return Visit(5, "Could not be computed")
    if state is State.NO_ANSWER:
        return Visit(5, reason_in_words(reason))
    if top_finding:
        return Visit(4 if error > _OFF else 3, top_finding)
    return _without_finding(state, error)


def _without_finding(state: State, error: float) -> Visit:
    if error > _FAR_OFF:
        return Visit(3, "Far from the assigned value, nothing found")
    if error > _OFF:
        return Visit(2, "Off the assigned value, nothing found")
    if state is State.NOT_SENT:
        return Visit(1, "Nothing received yet")
    return Visit(0, "")
