"""What a roster would change in a course: the one list that is shown and carried out.

Who changes section leaves their group, whose work stays with it. Vials, slips and
submissions hang on groups and are no part of any of this.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from results.policy.roster.entries import Entries, Entry, same_name
from results.policy.roster.people import CourseState, Person, match_people
from results.policy.tables import RowProblem
from results.policy.typed import fold

# So many people who leave at once are pointed out: it may be the wrong file.
_MANY_LEAVE = 5
_LARGE_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class Change:
    """One person before and after; they differ in at least one thing."""

    before: Person
    after: Person

    @property
    def moves(self) -> bool:
        """Whether the person goes to another section."""
        return not self.leaves and self.before.section != self.after.section

    @property
    def regroups(self) -> bool:
        """Whether the person goes to another group of the same section."""
        stays = not (self.leaves or self.moves)
        return stays and self.before.group != self.after.group

    @property
    def is_renamed(self) -> bool:
        """Whether the name is written anew."""
        return self.before.name != self.after.name

    @property
    def gets_number(self) -> bool:
        """Whether the person had no number so far."""
        return self.before.number != self.after.number

    @property
    def returns(self) -> bool:
        """Whether the person had left."""
        return self.before.has_left and not self.after.has_left

    @property
    def leaves(self) -> bool:
        """Whether the person leaves the course."""
        return self.after.has_left and not self.before.has_left


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything that a roster would change; nothing else is touched.

    Attributes
    ----------
    doubts : tuple of str
        What is allowed and yet deserves a look before it is carried out.
    new_groups : tuple of (section, group)
    """

    new: tuple[Entry, ...] = ()
    changes: tuple[Change, ...] = ()
    n_stay: int = 0
    doubts: tuple[str, ...] = ()
    problems: tuple[RowProblem, ...] = ()
    new_sections: tuple[str, ...] = ()
    new_groups: tuple[tuple[str, str], ...] = ()

    @property
    def changes_anything(self) -> bool:
        """Whether anything is left to do."""
        return bool(self.new or self.changes or self.new_sections or self.new_groups)

    def of(self, trait: str) -> tuple[Change, ...]:
        """Return the changes of one kind, such as "moves" or "leaves"."""
        return tuple(one for one in self.changes if getattr(one, trait))

    @property
    def lines(self) -> tuple[str, ...]:
        """Every change as a sentence, each once."""
        return (
            *(f"Section {code} is made." for code in self.new_sections),
            *(f"Group {g} of section {s} is made." for s, g in self.new_groups),
            *(_new_in_words(entry) for entry in self.new),
            *(_in_words(change) for change in self.changes),
        )


def plan_roster(
    state: CourseState, entries: Entries, *, whole: bool, only_section: str = ""
) -> Plan:
    """Return what changes if a course is brought to what a file says.

    Parameters
    ----------
    whole : bool
        Whether people of the course who are not in the file have left.
    only_section : str
        The one section that the file is of: nobody of another leaves. Empty for a
        file of the whole course.
    """
    matches, problems = match_people(state.people, entries.people)
    group_of = _group_finder(state.groups, entries.people)
    changes, n_stay = [], 0
    for entry, person in matches.items():
        if person is None:
            continue
        after = _after(person, entry, group_of)
        if after == person:
            n_stay += 1
        else:
            changes.append(Change(person, after))
    met = {person.pk for person in matches.values() if person is not None}
    leaving = [
        Change(one, Person(one.pk, one.name, one.number, one.section, "", True))  # noqa: FBT003
        for one in state.people
        if whole
        and not one.has_left
        and one.pk not in met
        and (not only_section or one.section == only_section)
    ]
    new = [entry for entry, person in matches.items() if person is None]
    return Plan(
        new=tuple(_grouped(entry, group_of) for entry in new),
        changes=(*changes, *leaving),
        n_stay=n_stay,
        doubts=tuple(_doubts(state, new, n_leave=len(leaving))),
        problems=tuple(problems),
        new_sections=entries.new_sections,
        new_groups=tuple(_new_groups(state.groups, entries.people, group_of)),
    )


_GroupFinder = Callable[[str, str], str]


def _group_finder(
    groups: Mapping[str, frozenset[str]], entries: Iterable[Entry]
) -> _GroupFinder:
    folded: dict[tuple[str, str], str] = {
        (section, fold(code)): code for section in groups for code in groups[section]
    }
    for entry in entries:
        if entry.group:
            folded.setdefault((entry.section, fold(entry.group)), entry.group)

    def find(section: str, group: str) -> str:
        if not group or group in groups.get(section, ()):
            return group
        return folded.get((section, fold(group)), group)

    return find


def _after(person: Person, entry: Entry, group_of: _GroupFinder) -> Person:
    keeps = person.section == entry.section and not person.has_left
    return Person(
        pk=person.pk,
        name=entry.name,
        number=entry.number or person.number,
        section=entry.section,
        group=group_of(entry.section, entry.group) or (person.group if keeps else ""),
        has_left=False,
    )


def _grouped(entry: Entry, group_of: _GroupFinder) -> Entry:
    group = group_of(entry.section, entry.group)
    return Entry(entry.row, entry.name, entry.number, entry.section, group)


def _new_groups(
    groups: Mapping[str, frozenset[str]],
    entries: Iterable[Entry],
    group_of: _GroupFinder,
) -> Iterator[tuple[str, str]]:
    wanted = dict.fromkeys(
        (one.section, group_of(one.section, one.group)) for one in entries if one.group
    )
    for section, group in wanted:
        if group not in groups.get(section, ()):
            yield section, group


def _doubts(state: CourseState, new: Iterable[Entry], *, n_leave: int) -> Iterator[str]:
    by_name = {same_name(one.name): one for one in state.people}
    n_here = sum(not one.has_left for one in state.people)
    if n_leave > max(_MANY_LEAVE, _LARGE_SHARE * n_here):
        yield f"{n_leave} of {n_here} people would leave. Is it the right file?"
    for entry in new:
        twin = by_name.get(same_name(entry.name))
        if twin is not None:
            yield (
                f"Row {entry.row}: {_called(entry.name, entry.number)}, would be new "
                f"beside {_called(twin.name, twin.number)}, section {twin.section}. If "
                "they are one person, mend the number first."
            )


def _called(name: str, number: str) -> str:
    return f"{name} ({number})" if number else name


def _new_in_words(entry: Entry) -> str:
    group = f", group {entry.group}" if entry.group else ""
    called = _called(entry.name, entry.number)
    return f"{called} is new in section {entry.section}{group}."


def _in_words(change: Change) -> str:
    before, after = change.before, change.after
    if change.leaves:
        group = f" and group {before.group}" if before.group else ""
        called = _called(before.name, before.number)
        return f"{called} leaves section {before.section}{group}."
    parts = []
    if change.returns:
        parts.append("comes back")
    if change.moves:
        parts.append(f"goes from section {before.section} to {after.section}")
    if before.group != after.group:
        was, goes = before.group or "none", after.group or "none"
        parts.append(f"group {was} becomes {goes}")
    if change.is_renamed:
        parts.append(f"is written {after.name}")
    if change.gets_number:
        parts.append(f"gets the number {after.number}")
    return f"{_called(before.name, before.number)}: {', '.join(parts)}."
