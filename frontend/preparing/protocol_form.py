"""The boxes of a protocol, laid out, with some empty rows at the end of each list."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from frontend.preparing.boxes import Box, Row, Rows, problems_by_box
from frontend.preparing.protocol_boxes import LISTS, MOST_ROWS, Values, n_rows
from frontend.preparing.protocol_parts import (
    ALONE,
    COLUMNS,
    LIMIT_BOXES,
    RANGE,
    READING,
    SALT,
    TITLES,
    UNKNOWN,
)
from results.policy.numbers import NotANumber, read_number
from results.policy.refusals import NotAdmitted, Problem

_SPARE_ROWS = 2


@dataclass(frozen=True, slots=True)
class ToMend:
    """One box to mend, and what it is called where it is not in sight."""

    name: str
    label: str
    problem: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtocolForm:
    """The whole form, part by part as the page shows it."""

    title: Box
    salt: tuple[Box, ...]
    standard_steps: Rows
    standards: Rows
    unknown: tuple[Box, ...]
    unknown_steps: Rows
    unknown_tubes: Rows
    reading: tuple[Box, ...]
    reagents: Rows
    cautions: Box
    develop: Box
    limits: tuple[Box, ...]
    range: tuple[Box, ...]
    other_problems: tuple[str, ...]
    n_problems: int

    @property
    def to_mend(self) -> tuple[ToMend, ...]:
        """Every box with a problem, in the order of the page."""
        plain = (
            self.title,
            *self.range,
            *self.salt,
            *self.unknown,
            *self.reading,
            self.develop,
            self.cautions,
            *self.limits,
        )
        tables = (
            self.standard_steps,
            self.standards,
            self.unknown_steps,
            self.unknown_tubes,
            self.reagents,
        )
        boxes = [(box.label, box) for box in plain]
        boxes += [
            (f"{table.title}, {row.title.lower()}, {box.label}", box)
            for table in tables
            for row in table.rows
            for box in row.boxes
        ]
        return tuple(
            ToMend(b.name, label, b.problem) for label, b in boxes if b.problem
        )


def protocol_form(values: Values, problems: Iterable[Problem] = ()) -> ProtocolForm:
    """Lay out the form; each problem stands at the box that it is about.

    Parameters
    ----------
    values : mapping
        Closed up, as `protocol_boxes.closed_up` returns them.
    """
    renamed = [_at_its_box(problem) for problem in problems]
    tables = {name: _rows(name, values) for name in LISTS}
    names = [*_plain_names(), *(box.name for box in _in_rows(tables.values()))]
    by_box, other = problems_by_box(renamed, names)

    def filled(boxes: Iterable[Box]) -> tuple[Box, ...]:
        return tuple(
            replace(
                box,
                value=values.get(box.name, ""),
                problem=by_box.get(box.name, ""),
            )
            for box in boxes
        )

    def table(name: str) -> Rows:
        rows = tables[name]
        return replace(
            rows, rows=tuple(Row(row.title, filled(row.boxes)) for row in rows.rows)
        )

    title, develop, cautions = filled(ALONE)
    return ProtocolForm(
        title=title,
        salt=filled(SALT),
        standard_steps=table("standard-steps"),
        standards=table("standards"),
        unknown=filled(UNKNOWN),
        unknown_steps=table("unknown-steps"),
        unknown_tubes=table("unknown-tubes"),
        reading=filled(READING),
        reagents=table("reagents"),
        cautions=cautions,
        develop=develop,
        limits=filled(LIMIT_BOXES),
        range=filled(RANGE),
        other_problems=other,
        n_problems=len(renamed),
    )


def _plain_names() -> list[str]:
    parts = (ALONE, SALT, UNKNOWN, READING, LIMIT_BOXES, RANGE)
    return [box.name for part in parts for box in part]


def _in_rows(tables: Iterable[Rows]) -> Iterator[Box]:
    for table in tables:
        for row in table.rows:
            yield from row.boxes


def _rows(name: str, values: Values) -> Rows:
    title, one = TITLES[name]
    columns = COLUMNS[
        "steps"
        if name.endswith("steps")
        else "reagents"
        if name == "reagents"
        else "tubes"
    ]
    n = min(n_rows(values, name) + _SPARE_ROWS, MOST_ROWS)
    return Rows(
        name=name,
        title=title,
        columns=tuple(label for _, label, *_ in columns),
        rows=tuple(
            Row(
                f"{one} {i + 1}",
                tuple(
                    Box(f"{name}-{i}-{key}", label, "", "", kind, choices)
                    for key, label, kind, choices in columns
                ),
            )
            for i in range(n)
        ),
    )


def _at_its_box(problem: Problem) -> Problem:
    """Return a problem of the document under the name of its box, in plain words."""
    where = [str(part) for part in problem.where]
    key = where[-1] if where else ""
    if len(where) == 4 and where[1] == "steps":
        where[-1] = "mL"
    elif len(where) == 3 and where[1] == "steps":
        where.append("mL")
    message = _REWORDED.get(problem.message, problem.message.removeprefix(f"{key} "))
    if message == "is missing":
        message = "write something here" if key in _WORD_KEYS else "write a number here"
    message = message[:1].upper() + message[1:]
    if not message.endswith("."):
        message += "."
    return Problem(tuple(where), message)


# What speaks of the document's keys and brackets, said of boxes.
_REWORDED = {
    "Give a name and a volume_mL above 0.": "Give a name, and a volume above 0 mL.",
    "Write [low, high], the lower number first.": (
        "Give both numbers, the lower one first, or neither."
    ),
}
_WORD_KEYS = frozenset({"tube", "name", "formula", "scale", "with"})


def read_range(
    values: Values, *, otherwise: tuple[float, float]
) -> tuple[float, float]:
    """Return the iron contents to plan for, % by mass, the lower one first.

    Raises
    ------
    NotAdmitted
        One of them is no percentage.
    """
    read, problems = [], []
    for box, usual in zip(RANGE, otherwise, strict=True):
        try:
            percent = read_number(values.get(box.name, "").strip() or usual)
        except NotANumber as error:
            problems.append(Problem((box.name,), str(error)))
            continue
        if not 0 < percent <= 100:
            message = "Give percent by mass, above 0 to 100."
            problems.append(Problem((box.name,), message))
        read.append(percent)
    if problems:
        raise NotAdmitted(problems)
    return min(read), max(read)
