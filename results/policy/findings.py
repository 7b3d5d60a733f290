"""What is said of a finding: a code and its numbers in, sentences out.

A sentence for students names one thing to check now, in their own numbers; it
never accuses and never hints at the assigned value. A sentence for assistants
says what to ask and which tube to look at.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Wording:
    """How a finding is put.

    Attributes
    ----------
    title : str
        The finding in two to five words.
    student, assistant : str
        Sentences; `{tube}` stands for the tube's label, other names in braces
        for the numbers behind the finding.
    staff_only : bool
        Whether students are not told.
    """

    title: str
    student: str
    assistant: str
    staff_only: bool = False


CATALOGUE: Mapping[str, Wording] = {
    "out_of_range": Wording(
        title="Unknown outside the standards",
        student="Your unknown lies outside your standards, where the line is not "
        "known. Ask whether to change the last volume you take.",
        assistant="The unknown lies outside the standards. If time allows, change "
        "the last aliquot so that it lands in the middle of the line.",
    ),
    "tube_off": Wording(
        title="One standard off the line",
        student="Tube {tube} does not sit with the others. Read it once more; if it "
        "reads the same, check its volume and its colour.",
        assistant="Tube {tube} is off the line of the others. Ask how its volume was "
        "delivered and whether its flask was filled to the mark.",
    ),
    "tubes_swapped": Wording(
        title="Two standards trade places",
        student="Two dots seem to trade places: tubes {tube}. Check the labels, "
        "palest first.",
        assistant="Tubes {tube} fit the line when swapped. Ask to see the flasks, "
        "palest first.",
    ),
    "scale_mixed_up": Wording(
        title="Percent or absorbance",
        student="Some readings look like the other scale of the meter. "
        "Is that percent transmittance or absorbance?",
        assistant="Readings seem to be typed on the wrong scale. Ask which scale of "
        "the meter was read.",
    ),
    "unknown_tube_off": Wording(
        title="Unknown tubes disagree",
        student="Your unknown tubes disagree more than the meter does. Read tube "
        "{tube} once more, wiped and the same way round.",
        assistant="The unknown tubes disagree. Ask how tube {tube} was pipetted.",
    ),
}

_UNWORDED = Wording(
    title="Something to look at",
    student="Something in these readings looks unusual. Ask your teaching assistant.",
    assistant="Something in these readings looks unusual.",
)


def wording(code: str) -> Wording:
    """Return how a finding is put; a general sentence for a code without one."""
    return CATALOGUE.get(code, _UNWORDED)


def is_staff_only(code: str) -> bool:
    """Whether students are not told of the finding."""
    return wording(code).staff_only


def say(template: str, *, tube: str, numbers: Mapping[str, Any]) -> str:
    """Fill a sentence with a finding's tube and numbers.

    Examples
    --------
    >>> say("Tube {tube} is off.", tube="3", numbers={})
    'Tube 3 is off.'
    """
    return template.format(**{**numbers, "tube": tube})
