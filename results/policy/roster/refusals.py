"""Refusals of whoever brings a roster, or puts people into groups."""

from collections.abc import Iterable

from results.policy.refusals import Refusal
from results.policy.tables import RowProblem


class NotARoster(Refusal):
    """A file, or some of its rows, cannot be read; nothing was changed."""

    code = "not-a-roster"

    def __init__(self, problems: Iterable[RowProblem]) -> None:
        self.problems = tuple(problems)
        n = len(self.problems)
        super().__init__(
            "Nothing was changed: one row needs mending."
            if n == 1
            else f"Nothing was changed: {n} things need mending."
        )


class RosterChanged(Refusal):
    """The course is not the one that the list was made for."""

    code = "roster-changed"

    def __init__(self) -> None:
        super().__init__(
            "Nothing was changed: people, sections or groups of the course changed "
            "after this list was made. Look at the new list before you carry it out."
        )


class CannotRoster(Refusal):
    """One thing that cannot be done to a person or a group."""

    code = "cannot-roster"
