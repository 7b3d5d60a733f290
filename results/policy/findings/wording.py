"""How a finding is put, and filling its sentences."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from results.policy.language import tell


@dataclass(frozen=True, slots=True)
class Wording:
    """How a finding is put.

    Attributes
    ----------
    title : str
        The finding in two to five words.
    student, assistant, coordinator : str
        Sentences: one thing to check now, what to ask and where to look, and what a
        pattern of such findings would mean.  `{where}` and `{Where}` stand for the
        tube or tubes in words, `{tube}` for the bare label, other names in braces
        for the numbers behind the finding.
    staff_only : bool
        Whether students are not told.
    """

    title: str
    student: str
    assistant: str
    coordinator: str
    staff_only: bool = False


def say(template: str, *, tube: str, numbers: Mapping[str, Any]) -> str:
    """Fill a sentence with a finding's tube and numbers.

    Examples
    --------
    >>> say("{Where} is off.", tube="3", numbers={})
    'Tube 3 is off.'
    >>> say("Look at {where}.", tube="2,4", numbers={})
    'Look at tubes 2 and 4.'
    >>> say("Look at {where}.", tube="", numbers={})
    'Look at one of the tubes.'
    """
    where = _in_words(tube)
    given = {
        **numbers,
        "tube": tube,
        "where": where,
        "Where": where[:1].upper() + where[1:],
    }
    return tell(template, **given)


def _in_words(tube: str) -> str:
    labels = [label.strip() for label in tube.split(",") if label.strip()]
    if not labels:
        return tell("one of the tubes")
    if len(labels) == 1:
        return tell("tube {label}", label=labels[0])
    return tell(
        "tubes {labels} and {last}", labels=", ".join(labels[:-1]), last=labels[-1]
    )
