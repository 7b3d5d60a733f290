"""The form on which a person says what the columns of a file mean."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.http import QueryDict

from results.policy.refusals import Problem
from results.policy.roster.changes import Change, Plan
from results.policy.roster.grid import Grid
from results.policy.roster.matching import (
    Matching,
    Meaning,
    Outside,
    doubled_heads,
    propose,
    read_columns,
)

_SAMPLES = 3
_COLUMN = "column-"
NOT_USED = ""


@dataclass(frozen=True, slots=True)
class ColumnChoice:
    """One column of the file: its name, what its first cells hold, what it means."""

    field: str
    head: str
    samples: tuple[str, ...]
    chosen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchForm:
    """What stands on the form, as proposed or as it was typed.

    Attributes
    ----------
    meanings, outsides : tuple of (value, label)
    parts : tuple of (name, is chosen)
        The courses of a file that holds several.
    """

    columns: tuple[ColumnChoice, ...]
    meanings: tuple[tuple[str, str], ...]
    outsides: tuple[tuple[str, str, bool], ...]
    parts: tuple[tuple[str, bool], ...]
    section: str
    whole: bool
    doubled: tuple[str, ...]


def proposed_matching(grid: Grid, sections: Iterable[str]) -> Matching:
    """Return how a file is to be read, as far as its head tells."""
    columns = propose(grid.head)
    only = tuple(sections)
    has_section = Meaning.SECTION in columns
    return Matching(
        columns=columns,
        section=only[0] if len(only) == 1 and not has_section else "",
        parts=frozenset() if grid.parts else None,
    )


def typed_matching(
    typed: QueryDict, grid: Grid
) -> tuple[Matching, tuple[Problem, ...]]:
    """Return what a person chose, and where it contradicts itself."""
    columns, problems = read_columns(
        (column, typed.get(f"{_COLUMN}{column}", NOT_USED))
        for column in range(len(grid.head))
    )
    outside = typed.get("outside", "")
    matching = Matching(
        columns=columns,
        section="" if Meaning.SECTION in columns else typed.get("section", ""),
        outside=Outside(outside) if outside in set(Outside) else Outside.REFUSE,
        parts=frozenset(typed.getlist("part")) if grid.parts else None,
        whole="whole" in typed,
    )
    return matching, problems


def match_form(grid: Grid, matching: Matching) -> MatchForm:
    """Return the form for a file."""
    meaning_of = {column: kind.value for kind, column in matching.columns.items()}
    return MatchForm(
        columns=tuple(
            ColumnChoice(
                field=f"{_COLUMN}{column}",
                head=head or f"column {column + 1}, without a name",
                samples=_samples(grid, column),
                chosen=meaning_of.get(column, NOT_USED),
            )
            for column, head in enumerate(grid.head)
        ),
        meanings=((NOT_USED, "not used"), *((one.value, one.label) for one in Meaning)),
        outsides=tuple(
            (one.value, one.label, one is matching.outside) for one in Outside
        ),
        parts=tuple((part, part in (matching.parts or ())) for part in grid.parts),
        section=matching.section,
        whole=matching.whole,
        doubled=doubled_heads(grid.head),
    )


def _samples(grid: Grid, column: int) -> tuple[str, ...]:
    return tuple(row.cells[column] for row in grid.rows[:_SAMPLES])


def as_fields(typed: QueryDict) -> tuple[tuple[str, str], ...]:
    """Return what was chosen as hidden fields of the next page."""
    return tuple(
        (name, value)
        for name in typed
        if name.startswith(_COLUMN) or name in {"section", "outside", "whole", "part"}
        for value in typed.getlist(name)
    )


def differences(
    before: Iterable[str], after: Iterable[str]
) -> Mapping[str, tuple[str, ...]]:
    """Return which lines of a list have gone, and which have come."""
    before, after = dict.fromkeys(before), dict.fromkeys(after)
    return {
        "gone": tuple(line for line in before if line not in after),
        "come": tuple(line for line in after if line not in before),
    }


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of change, in words, with everybody it concerns."""

    key: str
    one: str
    many: str
    changes: tuple[Change, ...]


_KINDS = (
    ("moves", "changes section", "change section"),
    ("leaves", "leaves", "leave"),
    ("returns", "comes back", "come back"),
    ("is_renamed", "is renamed", "are renamed"),
    ("gets_number", "gets a number", "get a number"),
    ("regroups", "changes group", "change group"),
)


def kinds_of(plan: Plan) -> tuple[Kind, ...]:
    """Return the kinds of change that occur; who changes twice stands in both."""
    found = (Kind(key, one, many, plan.of(key)) for key, one, many in _KINDS)
    return tuple(kind for kind in found if kind.changes)


def in_one_line(plan: Plan) -> str:
    """Return how many are new, change section, leave and so on, in one sentence."""
    counted = [(len(plan.new), "is new", "are new")]
    counted += [(len(kind.changes), kind.one, kind.many) for kind in kinds_of(plan)]
    parts = [f"{n} {one if n == 1 else many}" for n, one, many in counted if n]
    if not parts:
        return ""
    return ", ".join(parts[:-1]) + (" and " if parts[:-1] else "") + parts[-1]
