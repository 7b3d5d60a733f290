"""The steps of preparing a course, in order, each with its state in one line.

All pages that prepare a course are named here, and here only.
"""

from collections.abc import Callable
from dataclasses import dataclass

from django.urls import reverse

from results.summaries.preparing.hub import PreparedCourse


@dataclass(frozen=True, slots=True)
class State:
    """How far a step is.

    Attributes
    ----------
    missing : str
        What keeps the first student from working; empty if nothing does.
    can_wait : bool
        Whether something is left to do that keeps nobody from working.
    """

    line: str
    missing: str = ""
    can_wait: bool = False

    @property
    def word(self) -> str:
        """The state in a word, for who cannot see its shape."""
        return "missing" if self.missing else "can wait" if self.can_wait else "ready"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: the name of its page, its title, what it is for, how far it is."""

    page: str
    title: str
    purpose: str
    state: Callable[[PreparedCourse], State]


@dataclass(frozen=True, slots=True)
class StepShown:
    """One step as the hub shows it."""

    title: str
    purpose: str
    address: str
    state: State


def some(n: int, word: str) -> str:
    """Return a number with its noun.

    Examples
    --------
    >>> some(1, "lot"), some(0, "vial"), some(12, "group")
    ('1 lot', 'no vials', '12 groups')
    """
    return f"{n or 'no'} {word}{'' if n == 1 else 's'}"


def _protocol(course: PreparedCourse) -> State:
    if not course.protocol_version:
        return State("no protocol yet", "a protocol: nothing can be read or computed")
    return State(f"version {course.protocol_version} is in force")


def _policies(course: PreparedCourse) -> State:
    first = ", own answer first" if course.own_answer_first else ""
    return State(f"iron content shown {course.iron_shown.label}{first}")


def _grading(course: PreparedCourse) -> State:
    if not course.scheme_version:
        line = "no grading scheme yet; needed when the first grades are set"
        return State(line, can_wait=True)
    return State(f"version {course.scheme_version} is in force")


def _stations(course: PreparedCourse) -> State:
    out = course.n_stations - course.n_in_service
    line = some(course.n_stations, "station") + (f", {out} out of service" * bool(out))
    return State(line, "" if course.n_in_service else "a station in service to read at")


def _lots(course: PreparedCourse) -> State:
    line, bare = some(course.n_lots, "lot"), course.n_lots_without_value
    if bare:
        return State(f"{line}, {bare} without a value", "a value of every lot")
    return State(line, "" if course.n_lots else "lots of unknown material")


def _vials(course: PreparedCourse) -> State:
    short = course.n_groups - course.n_vials
    line = some(course.n_vials, "vial")
    if not course.n_vials:
        return State(line, "vials")
    return State(line, f"{some(short, 'more vial')}" if short > 0 else "")


def _sections(course: PreparedCourse) -> State:
    if not course.n_sections:
        return State("no sections yet", "sections")
    told = [some(course.n_sections, "section"), some(course.n_groups, "group")]
    if course.n_open_from_start:
        told.append(f"{course.n_open_from_start} open from the start")
    if course.n_without_due:
        told.append(f"{course.n_without_due} without a due time")
    bare = course.n_sections_without_groups
    missing = f"groups in {some(bare, 'section')}" if bare else ""
    return State(", ".join(told), missing)


def _roster(course: PreparedCourse) -> State:
    if not course.n_students:
        line = "no students named; groups can work without names"
        return State(line, can_wait=True)
    return State(some(course.n_students, "student"))


def _groups(course: PreparedCourse) -> State:
    line, alone = some(course.n_groups, "group"), course.n_students_without_group
    if not alone:
        return State(line, can_wait=not course.n_groups)
    return State(
        f"{line}, {some(alone, 'student')} in none",
        f"a group for {some(alone, 'student')}",
    )


def _issuing(course: PreparedCourse) -> State:
    bare = course.n_groups_without_vial
    if not course.n_groups:
        return State("no groups to issue to yet", can_wait=True)
    if bare:
        line = f"{some(bare, 'group')} without a vial"
        return State(line, f"a vial for {some(bare, 'group')}")
    return State("every group holds a vial")


def _staff(course: PreparedCourse) -> State:
    told = [
        some(course.n_coordinators, "coordinator"),
        some(course.n_assistants, "assistant"),
    ]
    bare = course.n_sections_without_assistant
    if bare:
        told.append(f"{some(bare, 'section')} without an assistant")
    return State(", ".join(told), can_wait=bool(bare))


def _paper(course: PreparedCourse) -> State:
    bare = course.n_groups_without_slip
    if not course.n_groups:
        return State("no groups to print slips for yet", can_wait=True)
    if bare:
        line = f"{some(bare, 'group')} without a slip to sign in with"
        return State(line, f"a slip for {some(bare, 'group')}")
    return State("every group has a slip")


#: In the order in which they are usually done.
STEPS = (
    Step(
        "prepare-protocol", "Protocol", "what is weighed, diluted and read", _protocol
    ),
    Step("prepare-policies", "Policies", "who sees what, and when", _policies),
    Step("grading-scheme", "Grading scheme", "points, bands, late work", _grading),
    Step("prepare-stations", "Stations", "meters, their places and scales", _stations),
    Step("prepare-lots", "Lots", "unknown material and its assigned values", _lots),
    Step("prepare-vials", "Vials", "numbered portions with their labels", _vials),
    Step("prepare-sections", "Sections", "class meetings and due times", _sections),
    Step("prepare-staff", "Staff", "coordinators, and assistants of sections", _staff),
    Step("prepare-roster", "Roster", "who is in which section", _roster),
    Step("prepare-groups", "Groups", "who works with whom", _groups),
    Step("prepare-issuing", "Issuing", "which vial goes to which group", _issuing),
    Step("prepare-paper", "Paper", "labels, slips, stickers, sheets", _paper),
)


def steps_of(course: PreparedCourse) -> tuple[StepShown, ...]:
    """Return all steps of a course, in order."""
    return tuple(
        StepShown(
            step.title,
            step.purpose,
            reverse(step.page, args=[course.course]),
            step.state(course),
        )
        for step in STEPS
    )
