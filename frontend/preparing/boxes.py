"""Boxes to type in, each with what is to be mended in it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from results.policy.refusals import Problem

Choices = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Box:
    """One box.

    Attributes
    ----------
    label : str
        Read aloud, and shown unless the box stands in a table under a heading.
    kind : str
        ``number``, ``text``, ``suggest`` (a text with usual words), ``lines``,
        ``choice``, ``tick``, ``moment`` or ``date``.
    problem : str
        What to mend in it; empty if nothing.
    """

    name: str
    label: str
    value: str
    problem: str = ""
    kind: str = "text"
    choices: Choices = ()
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """Boxes beside each other; `title` names the row."""

    title: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Rows:
    """A table to type in."""

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def problems_by_box(
    problems: Iterable[Problem], names: Iterable[str]
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Sort problems to the boxes that they are about; the rest as sentences.

    A problem of a whole row or list stands at its first box.
    """
    known = list(names)
    by_box: dict[str, str] = {}
    other = []
    for problem in problems:
        name = "-".join(map(str, problem.where))
        box = next((one for one in known if one == name), "") or next(
            (one for one in known if one.startswith(f"{name}-")), ""
        )
        if not box or not name:
            other.append(problem.message)
        elif box in by_box:
            by_box[box] += f" {problem.message}"
        else:
            by_box[box] = problem.message
    return by_box, tuple(other)


def with_problems(boxes: Iterable[Box], by_box: Mapping[str, str]) -> list[Box]:
    """Return the boxes, each with its problem."""
    return [replace(box, problem=by_box.get(box.name, "")) for box in boxes]
