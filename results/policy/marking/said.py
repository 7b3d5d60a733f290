"""A reason as it is stored: a marked sentence and its values, told when read."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from results.policy.language import in_readers_format, tell

_NUMBER = re.compile(r"[−-]?\d+\.\d+")
Value = str | tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """One sentence.

    Attributes
    ----------
    sentence : str
        Marked for translation, with named placeholders.
    values : tuple of (str, str or tuple of str)
        What fills them: numbers and names as text, or several sentences.
    """

    sentence: str
    values: tuple[tuple[str, Value], ...] = ()

    def told(self) -> str:
        """Return the sentence in the reader's language."""
        return tell(self.sentence, **{name: _told(v) for name, v in self.values})

    def as_json(self) -> dict[str, Any]:
        """Return what is stored."""
        return {"say": self.sentence, "with": dict(self.values)}

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> "Said":
        """Return what was stored."""
        return said(
            stored["say"],
            **{
                name: value if isinstance(value, str) else tuple(value)
                for name, value in stored["with"].items()
            },
        )


def said(sentence: str, /, **values: Value) -> Said:
    """Return a sentence with its values.

    Examples
    --------
    >>> said("{n} of {m} tubes were read.", n="6", m="7").told()
    '6 of 7 tubes were read.'
    """
    # By name: a database may hand them back in another order.
    return Said(sentence, tuple(sorted(values.items())))


def told(sentences: Iterable[Said]) -> str:
    """Return sentences one after the other, in the reader's language."""
    return " ".join(one.told() for one in sentences)


def _told(value: Value) -> str:
    if isinstance(value, tuple):
        return "; ".join(tell(sentence) for sentence in value)
    return in_readers_format(value) if _NUMBER.fullmatch(value) else value
