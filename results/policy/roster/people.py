"""The people of a course, and who of them a row of a file means.

A person keeps their identity by the number at the college, else by the name within the
course.
"""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from results.policy.roster.entries import Entry, same_name
from results.policy.roster.matching import Meaning
from results.policy.tables import RowProblem


@dataclass(frozen=True, slots=True)
class Person:
    """One person of a course as on record; group empty if in none."""

    pk: int
    name: str
    number: str
    section: str
    group: str
    has_left: bool


@dataclass(frozen=True, slots=True)
class CourseState:
    """The people of a course, and the groups of each of its sections by code."""

    people: tuple[Person, ...]
    groups: Mapping[str, frozenset[str]]

    @property
    def mark(self) -> str:
        """A mark that changes with every person, section and group."""
        told = [
            *sorted(map(repr, self.people)),
            *(f"{code} {sorted(self.groups[code])}" for code in sorted(self.groups)),
        ]
        return hashlib.sha256("\n".join(told).encode()).hexdigest()[:32]


def match_people(
    people: Iterable[Person], entries: Iterable[Entry]
) -> tuple[dict[Entry, Person | None], list[RowProblem]]:
    """Find out who of a course each entry of a file is; None for somebody new.

    The number decides. Without one on either side the name does, if it can only be
    one person: first among those who have not left, then within the section.
    """
    by_number = {one.number: one for one in people if one.number}
    by_name: dict[str, list[Person]] = {}
    for one in people:
        by_name.setdefault(same_name(one.name), []).append(one)
    matches = {entry: by_number.get(entry.number) for entry in entries}
    taken = {person.pk for person in matches.values() if person is not None}
    claimed: dict[int, Entry] = {}
    problems = []
    for entry in [entry for entry, person in matches.items() if person is None]:
        found = _candidates(entry, by_name.get(same_name(entry.name), []), taken)
        if len(found) > 1:
            problems.append(_several(entry, len(found)))
        elif found:
            first = claimed.setdefault(found[0].pk, entry)
            if first is not entry:
                problems.append(_both(entry, first))
            matches[entry] = found[0]
    return matches, problems


def _candidates(entry: Entry, alike: list[Person], taken: set[int]) -> list[Person]:
    """Return whom of the same name an entry may mean, the likeliest only."""
    found = [
        one
        for one in alike
        if one.pk not in taken and not (entry.number and one.number)
    ]
    found = [one for one in found if not one.has_left] or found
    nearby = [one for one in found if one.section == entry.section]
    return nearby if len(found) > 1 and len(nearby) == 1 else found


def _several(entry: Entry, n: int) -> RowProblem:
    return RowProblem(
        entry.row,
        Meaning.NUMBER.value,
        f"The course has {n} people named {entry.name}; give the number of the one "
        "who is meant.",
    )


def _both(entry: Entry, first: Entry) -> RowProblem:
    return RowProblem(
        entry.row,
        Meaning.NUMBER.value,
        f"This and row {first.row} may both be {entry.name} of the course, who has no "
        "number yet. Give both rows their number, or delete one.",
    )
