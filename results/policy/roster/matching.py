"""What each column of a file means: proposed from its head, decided by a person."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from results.policy.refusals import Problem
from results.policy.roster.grid import Grid
from results.policy.typed import fold


class Meaning(StrEnum):
    """What a column can say of a person."""

    NAME = "name"
    GIVEN = "given"
    FAMILY = "family"
    NUMBER = "number"
    SECTION = "section"
    GROUP = "group"

    @property
    def label(self) -> str:
        """The meaning in words."""
        return {
            Meaning.NAME: "whole name",
            Meaning.GIVEN: "given name",
            Meaning.FAMILY: "family name",
            Meaning.NUMBER: "number at the college",
            Meaning.SECTION: "section",
            Meaning.GROUP: "group",
        }[self]


class Outside(StrEnum):
    """What becomes of rows whose section the course does not have."""

    REFUSE = "refuse"
    MAKE = "make"
    LEAVE_OUT = "leave_out"

    @property
    def label(self) -> str:
        """The choice in words."""
        return {
            Outside.REFUSE: "name them, so that they can be mended",
            Outside.MAKE: "make these sections",
            Outside.LEAVE_OUT: "leave these rows out",
        }[self]


# Heads as people write them, in English and German; compared without case and signs.
_HEADS = {
    Meaning.NAME: ("name", "full name", "student", "student name", "person", "names"),
    Meaning.GIVEN: ("given name", "first name", "forename", "given", "vorname"),
    Meaning.FAMILY: (
        *("family name", "last name", "surname", "family"),
        *("nachname", "familienname"),
    ),
    Meaning.NUMBER: (
        *(
            "number",
            "student number",
            "college number",
            "student id",
            "id",
            "identifier",
        ),
        *("matriculation number", "registration number", "matrikelnummer", "no", "nr"),
    ),
    Meaning.SECTION: (
        *("section", "section code", "lab section", "laboratory section", "class"),
        *("class code", "sektion", "abschnitt", "kurs"),
    ),
    Meaning.GROUP: ("group", "bench group", "group number", "gruppe"),
}
_BY_HEAD = {fold(head): kind for kind, heads in _HEADS.items() for head in heads}


@dataclass(frozen=True, slots=True, kw_only=True)
class Matching:
    """How a grid is to be read.

    Attributes
    ----------
    columns : mapping of Meaning to int
        Column by meaning, from 0.
    section : str
        The section of everybody, where no column says it.
    outside : Outside
    parts : frozenset of str or None
        The courses of the file that are meant; None for all of it.
    whole : bool
        Whether who is not in the file has left: the course, or the one section that
        the whole file is of.
    """

    columns: Mapping[Meaning, int]
    section: str = ""
    outside: Outside = Outside.REFUSE
    parts: frozenset[str] | None = None
    whole: bool = False


def propose(head: Iterable[str]) -> dict[Meaning, int]:
    """Return what the columns seem to mean, from their names alone.

    A name that several columns have proposes nothing: a person has to say which.
    Given and family name go before a whole name.

    Examples
    --------
    >>> propose(["Surname", "First name", "E-mail", "Student-ID", "Section"])
    {<Meaning.FAMILY: 'family'>: 0, <Meaning.GIVEN: 'given'>: 1, \
<Meaning.NUMBER: 'number'>: 3, <Meaning.SECTION: 'section'>: 4}
    """
    found: dict[Meaning, list[int]] = {}
    for column, name in enumerate(head):
        meaning = _BY_HEAD.get(fold(name))
        if meaning is not None:
            found.setdefault(meaning, []).append(column)
    once = {kind: at[0] for kind, at in found.items() if len(at) == 1}
    if Meaning.GIVEN in once and Meaning.FAMILY in once:
        once.pop(Meaning.NAME, None)
    elif Meaning.NAME in once:
        once.pop(Meaning.GIVEN, None)
        once.pop(Meaning.FAMILY, None)
    return once


def doubled_heads(head: Iterable[str]) -> tuple[str, ...]:
    """Return the names that more than one column has, each once."""
    names = [name for name in head if name]
    return tuple(dict.fromkeys(name for name in names if names.count(name) > 1))


def check_matching(grid: Grid, matching: Matching) -> tuple[Problem, ...]:
    """Return what is missing before the rows can be read."""
    has, problems = set(matching.columns), []
    if Meaning.NAME not in has and Meaning.FAMILY not in has:
        message = (
            "Say which column is the whole name, or which are the given and the "
            "family name."
        )
        problems.append(Problem(("columns",), message))
    if Meaning.NAME in has and has & {Meaning.GIVEN, Meaning.FAMILY}:
        message = "Take the whole name, or the given and the family name, not both."
        problems.append(Problem(("columns",), message))
    if Meaning.SECTION not in has and not matching.section:
        message = "Say which column is the section, or to which section all belong."
        problems.append(Problem(("section",), message))
    if grid.parts and matching.parts is not None and not matching.parts:
        message = "Choose at least one course of the file."
        problems.append(Problem(("parts",), message))
    return tuple(problems)


def read_columns(
    chosen: Iterable[tuple[int, str]],
) -> tuple[dict[Meaning, int], tuple[Problem, ...]]:
    """Return columns by meaning from pairs of a column and a meaning's name.

    A column with a name that means nothing here is not used; two columns with one
    meaning are a problem.
    """
    columns: dict[Meaning, int] = {}
    twice: list[Meaning] = []
    for column, name in chosen:
        if name not in set(Meaning):
            continue
        meaning = Meaning(name)
        if meaning in columns:
            twice.append(meaning)
        columns.setdefault(meaning, column)
    return columns, tuple(
        Problem(("columns",), f"Two columns are the {meaning.label}; keep one of them.")
        for meaning in dict.fromkeys(twice)
    )
