"""What came of a press on a form, and the numbers of rows that it hands back."""

from dataclasses import dataclass

from results.policy.refusals import Problem
from results.summaries.previews import Preview

# No row of ours has a longer number; a longer one no database could look for.
_MOST_DIGITS = 15


@dataclass(frozen=True, slots=True)
class Answered:
    """A preview, or what stood in its way."""

    preview: Preview | None = None
    problems: tuple[Problem, ...] = ()
    refused: str = ""

    @property
    def status(self) -> int:
        """How the answer is marked for programs: 200, 409 or 422."""
        if self.problems:
            return 422
        return 409 if self.refused else 200


def is_number(text: str) -> bool:
    """Whether a form handed back the number of a row."""
    return text.isascii() and text.isdecimal() and len(text) <= _MOST_DIGITS


def row_number(text: str) -> int:
    """Return the number of a row as a form handed it back; 0, of no row, if none.

    Examples
    --------
    >>> row_number("12"), row_number(""), row_number("9" * 40)
    (12, 0, 0)
    """
    return int(text) if is_number(text) else 0
