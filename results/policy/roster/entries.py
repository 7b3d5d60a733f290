"""People as a file tells of them, each row checked on its own and with the others."""

import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from results.policy.roster.grid import Grid, GridRow
from results.policy.roster.matching import Matching, Meaning, Outside
from results.policy.tables import RowProblem
from results.policy.typed import LONGEST_CODE, fold

LONGEST_NAME = 120
LONGEST_NUMBER = 60


@dataclass(frozen=True, slots=True)
class Entry:
    """One person of the file; number and group empty where it gives none."""

    row: int
    name: str
    number: str
    section: str
    group: str


@dataclass(frozen=True, slots=True)
class Repeated:
    """A row that says once more what an earlier one says; it counts once."""

    row: int
    first: int
    name: str


@dataclass(frozen=True, slots=True)
class Entries:
    """What a file says, and what in it needs mending.

    Attributes
    ----------
    n_left_out : int
        Rows that were left out as asked: of other courses or sections.
    new_sections : tuple of str
        Sections that would be made, as asked.
    """

    people: tuple[Entry, ...]
    repeated: tuple[Repeated, ...]
    problems: tuple[RowProblem, ...]
    n_left_out: int
    new_sections: tuple[str, ...]


def tidy(text: str) -> str:
    r"""Return a text as it is kept: composed letters, one blank between words.

    Examples
    --------
    >>> tidy(" Ivo\n Marsh ")
    'Ivo Marsh'
    """
    return " ".join(unicodedata.normalize("NFC", text).split())


def same_name(name: str) -> str:
    """Return what two ways of writing a name have in common: words without case."""
    return tidy(name).casefold()


def read_entries(grid: Grid, matching: Matching, *, sections: Iterable[str]) -> Entries:
    """Read the people of a grid.

    Parameters
    ----------
    sections : iterable of str
        Codes of the course's sections. A section is found by its code; if that
        fails, by its code without case and signs.
    """
    find = _finder(sections)
    problems = list(grid.problems)
    read: list[Entry] = []
    made: dict[str, str] = {}
    n_left_out = 0
    for row in grid.rows:
        if not _is_meant(row, grid, matching):
            n_left_out += 1
            continue
        raw = _raw(row, matching)
        known = find(raw.section)
        if known is None and raw.section and matching.outside is Outside.LEAVE_OUT:
            n_left_out += 1
            continue
        if known is None and matching.outside is Outside.MAKE:
            known = made.setdefault(fold(raw.section) or raw.section, raw.section)
        entry = Entry(raw.row, raw.name, raw.number, known or raw.section, raw.group)
        found = list(_row_problems(entry, is_known=known is not None))
        problems += found
        if not found:
            read.append(entry)
    people, repeated, doubled = _once(read)
    return Entries(
        people=tuple(people),
        repeated=tuple(repeated),
        problems=tuple(sorted([*problems, *doubled], key=lambda one: one.row)),
        n_left_out=n_left_out,
        new_sections=tuple(code for code in made.values() if code),
    )


def _finder(sections: Iterable[str]) -> Callable[[str], str | None]:
    codes = tuple(sections)
    exact = set(codes)
    folded: dict[str, list[str]] = {}
    for code in codes:
        folded.setdefault(fold(code), []).append(code)

    def find(typed: str) -> str | None:
        if typed in exact:
            return typed
        alike = folded.get(fold(typed), []) if fold(typed) else []
        return alike[0] if len(alike) == 1 else None

    return find


def _is_meant(row: GridRow, grid: Grid, matching: Matching) -> bool:
    if not grid.parts or matching.parts is None:
        return True
    return row.cells[grid.part_column] in matching.parts


def _raw(row: GridRow, matching: Matching) -> Entry:
    def cell(meaning: Meaning) -> str:
        column = matching.columns.get(meaning)
        return "" if column is None else tidy(row.cells[column])

    parts = (cell(Meaning.GIVEN), cell(Meaning.FAMILY))
    return Entry(
        row=row.number,
        name=cell(Meaning.NAME) or " ".join(filter(None, parts)),
        number=cell(Meaning.NUMBER),
        section=cell(Meaning.SECTION)
        if Meaning.SECTION in matching.columns
        else matching.section,
        group=cell(Meaning.GROUP),
    )


def _row_problems(entry: Entry, *, is_known: bool) -> Iterator[RowProblem]:
    def problem(meaning: Meaning, message: str) -> RowProblem:
        return RowProblem(entry.row, meaning.value, message)

    if not entry.name:
        yield problem(Meaning.NAME, "The name is missing.")
    if not entry.section:
        yield problem(Meaning.SECTION, "The section is missing.")
    elif not is_known:
        message = f"The course has no section “{_short(entry.section)}”."
        yield problem(Meaning.SECTION, message)
    for meaning, text, longest in (
        (Meaning.NAME, entry.name, LONGEST_NAME),
        (Meaning.NUMBER, entry.number, LONGEST_NUMBER),
        (Meaning.SECTION, entry.section if is_known else "", LONGEST_CODE),
        (Meaning.GROUP, entry.group, LONGEST_CODE),
    ):
        if len(text) > longest:
            message = f"Shorten the {meaning.label} to {longest} signs."
            yield problem(meaning, message)


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_CODE else text[: LONGEST_CODE - 1] + "…"


def _once(
    entries: Iterable[Entry],
) -> tuple[list[Entry], list[Repeated], list[RowProblem]]:
    """Tell people who stand there twice from rows that contradict each other."""
    people: list[Entry] = []
    repeated: list[Repeated] = []
    problems: list[RowProblem] = []
    by_number: dict[str, Entry] = {}
    by_name: dict[str, Entry] = {}
    for entry in entries:
        if entry.number:
            first = by_number.setdefault(entry.number, entry)
            message = (
                f"The number {entry.number} is in row {first.row} already, with "
                "another name, section or group. Keep the row that is right."
            )
        else:
            first = by_name.setdefault(same_name(entry.name), entry)
            message = (
                f"{entry.name} is in row {first.row} already, and no number tells the "
                "two apart. Delete one row, or give both their number."
            )
        if first is entry:
            people.append(entry)
        elif entry.number and _says_the_same(entry, first):
            repeated.append(Repeated(entry.row, first.row, entry.name))
        else:
            problems.append(RowProblem(entry.row, _column(entry), message))
    return people, repeated, problems


def _column(entry: Entry) -> str:
    return (Meaning.NUMBER if entry.number else Meaning.NAME).value


def _says_the_same(entry: Entry, other: Entry) -> bool:
    return (entry.name, entry.section, entry.group) == (
        other.name,
        other.section,
        other.group,
    )
