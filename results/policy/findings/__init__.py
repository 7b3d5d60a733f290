"""What is said of a finding: a code and its numbers in, sentences out.

A sentence for students names one thing to check now, in their own numbers; it
never accuses and never hints at the assigned value. A sentence for assistants
says what to ask and which tube to look at; one for coordinators what a pattern of
such findings would mean.
"""

from collections import Counter
from collections.abc import Iterable, Mapping

from results.policy.findings.bench import BENCH
from results.policy.findings.wording import Wording, say
from results.policy.findings.worked import WORKED
from results.policy.language import marked, tell
from results.science.diagnosis import CATALOGUE as DEEDS
from results.science.diagnosis import CODES

__all__ = [
    "CATALOGUE",
    "Wording",
    "advice",
    "is_staff_only",
    "is_worked",
    "say",
    "wording",
]

CATALOGUE: Mapping[str, Wording] = {**BENCH, **WORKED}

_UNWORDED = Wording(
    title=marked("Something to look at"),
    student=marked(
        "Something in these readings looks unusual. Ask your teaching assistant."
    ),
    assistant="Something in these readings looks unusual.",
    coordinator="Something looks unusual.",
)
_BY_NAME = {deed.name: deed for deed in DEEDS}


def wording(code: str) -> Wording:
    """Return how a finding is put; a general sentence for a code without one."""
    return CATALOGUE.get(code, _UNWORDED)


def is_worked(code: str) -> bool:
    """Whether a finding is about a group's own arithmetic, not about the bench."""
    return code.startswith("worked_")


def is_staff_only(code: str) -> bool:
    """Whether students are not told of the finding."""
    return wording(code).staff_only


def advice(
    members: Iterable[str], *, for_staff: bool, most: int = 3
) -> tuple[str, ...]:
    """Return what to try for each deed that would look alike, most usual first.

    Where a finding has members of several codes, each code has its turn before any
    has its second.  Students are told only what they can do themselves.

    Examples
    --------
    >>> advice(["labels_swapped"], for_staff=False)
    ('Put the flasks in order, palest first.',)
    """
    known = [_BY_NAME[name] for name in members if name in _BY_NAME]
    wanted = [deed for deed in known if for_staff or deed.act == "S"]
    turns: Counter[str] = Counter()
    ranked = []
    for deed in wanted:
        turns[CODES[deed.shape]] += 1
        ranked.append((turns[CODES[deed.shape]], deed.advice))
    told = [tell(sentence) for _, sentence in sorted(ranked, key=lambda one: one[0])]
    return tuple(dict.fromkeys(told))[:most]
