"""What cannot be done to a grade as things stand."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from results.policy.refusals import Refusal

_MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class Changed:
    """One grade that somebody else changed meanwhile."""

    group: str
    by: str
    at: datetime | None
    what: str


class StaleGrade(Refusal):
    """Somebody changed what the person was looking at; nothing was overwritten."""

    code = "grade-changed-meanwhile"

    def __init__(self, changed: Sequence[Changed]) -> None:
        self.changed = tuple(changed)
        told = "; ".join(_told(one) for one in self.changed[:_MOST_NAMED])
        more = len(self.changed) - _MOST_NAMED
        if more > 0:
            told += f"; and {more} more"
        super().__init__(
            f"While you were looking: {told}. Nothing was overwritten. Look at the "
            "page as it is now, then decide again."
        )


def _told(one: Changed) -> str:
    if one.at is None:
        return f"group {one.group} came in anew"
    return f"group {one.group} was changed by {one.by} at {one.at:%H:%M} ({one.what})"


class CannotGrade(Refusal):
    """The grade is in a state that does not allow this."""

    code = "grade-state"


class NoScheme(Refusal):
    """The course has no grading scheme yet."""

    code = "no-grading-scheme"

    def __init__(self, course: str) -> None:
        super().__init__(
            f"Course {course} has no grading scheme yet. Its coordinator has to adopt "
            "one."
        )


class BadGrade(Refusal):
    """What was typed cannot be a grade; the sentence says what to mend."""

    code = "grade-not-admitted"
