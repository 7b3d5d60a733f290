"""The boxes of a new course, and of a course's policies."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from frontend.preparing.boxes import Box, problems_by_box
from results.policy.access import IronShown
from results.policy.moments import read_day
from results.policy.refusals import Problem
from results.summaries.preparing.courses import CourseToCopy
from results.summaries.preparing.policies import Policies

_NAMES = (
    Box(
        "code",
        "Code",
        "",
        hint="Short, for addresses and commands: letters, digits, hyphens.",
    ),
    Box("title", "Title", "", hint="Empty: the code."),
    Box("term", "Term", ""),
    Box("college", "College", ""),
)
_POLICIES = (
    Box(
        "iron_shown",
        "When does a group see its recomputed iron content?",
        "",
        kind="choice",
        choices=tuple((one.value, one.label) for one in IronShown),
        hint="Its readings, its line and what was found at the bench it sees at once, "
        "in any case. Before the moment chosen here it sees no iron content of ours; "
        "after a release it does.",
    ),
    Box(
        "own_answer_first",
        "a group gives its own worked answer before it sees ours",
        "",
        kind="tick",
        hint="A student who has not worked it out finds a box in place of our number, "
        "until the own answer is given or results are released.",
    ),
    Box(
        "error_shown",
        "groups see how far off they were, once grades are released",
        "",
        kind="tick",
        hint="With its own value, that tells a student the assigned one: leave it off "
        "if lots are used again.",
    ),
    Box(
        "assistants_see_assigned",
        "assistants see assigned values and recoveries of their sections",
        "",
        kind="tick",
        hint="Students see nothing of it either way. Off, an assistant helps without "
        "knowing the answer.",
    ),
    Box(
        "vial_labels_checked",
        "vial labels end in a check sign",
        "",
        kind="tick",
        hint="A student who mistypes a label is told at once. Leave it off for labels "
        "of your own making.",
    ),
)
TICKS = tuple(box.name for box in _POLICIES if box.kind == "tick")


@dataclass(frozen=True, slots=True)
class CourseForm:
    """The boxes of a new course; `like` only where there is a course to be like."""

    names: tuple[Box, ...]
    like: tuple[Box, ...]
    other_problems: tuple[str, ...]


def new_course_form(
    values: Mapping[str, str],
    courses: Iterable[CourseToCopy],
    problems: Iterable[Problem] = (),
) -> CourseForm:
    """Lay out the form of a new course."""
    choices = [("", "nothing: begin with empty pages")]
    choices += [
        (one.course, f"{one.title}, {one.term}" if one.term else one.title)
        for one in courses
    ]
    like = (
        Box("like", "Begin with", "", kind="choice", choices=tuple(choices)),
        Box(
            "starts",
            "First day of the new term",
            "",
            kind="date",
            hint="Times of sections move by whole weeks, to that day or the six after.",
        ),
        Box("lots", "lots in use, with their present values, too", "", kind="tick"),
    )
    boxes = (*_NAMES, *(like if len(choices) > 1 else ()))
    by_box, other = problems_by_box(problems, [box.name for box in boxes])
    filled = tuple(
        replace(box, value=values.get(box.name, ""), problem=by_box.get(box.name, ""))
        for box in boxes
    )
    return CourseForm(filled[: len(_NAMES)], filled[len(_NAMES) :], other)


def first_day(typed: str) -> date | None:
    """Return a day as a form hands it over; None if it is none."""
    try:
        return read_day(typed)
    except ValueError:
        return None


def policies_form(
    values: Mapping[str, str], problems: Iterable[Problem] = ()
) -> tuple[Box, ...]:
    """Lay out the form of a course's policies."""
    by_box, _ = problems_by_box(problems, [box.name for box in _POLICIES])
    return tuple(
        replace(box, value=values.get(box.name, ""), problem=by_box.get(box.name, ""))
        for box in _POLICIES
    )


def from_policies(policies: Policies) -> dict[str, str]:
    """Return what stands in the boxes for some policies."""
    ticked = {name: "on" for name in TICKS if getattr(policies, name)}
    return {"iron_shown": policies.iron_shown.value, **ticked}


def to_policies(values: Mapping[str, str]) -> Policies:
    """Return the policies that were chosen; a choice that is none counts as usual."""
    shown = values.get("iron_shown", "")
    known = {one.value for one in IronShown}
    return Policies(
        iron_shown=IronShown(shown) if shown in known else IronShown.AFTER_DUE,
        own_answer_first="own_answer_first" in values,
        assistants_see_assigned="assistants_see_assigned" in values,
        error_shown="error_shown" in values,
        vial_labels_checked="vial_labels_checked" in values,
    )
