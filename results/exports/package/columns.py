"""Tables described once: for the rows that are read and for who opens the file."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from results.exports.cells import harmless, number

Rows = Iterable[tuple[Any, ...]]


class Kind(StrEnum):
    """Types of fields that are used, as Table Schema names them."""

    STRING = "string"
    NUMBER = "number"
    INTEGER = "integer"
    BOOLEAN = "boolean"
    DATETIME = "datetime"


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    Attributes
    ----------
    path : str
        Where its value stands, seen from the table's records.
    about : str
        What it holds, with its unit.
    read : callable, optional
        Turns what stands there into the value.
    is_name : bool
        Whether it names people, or could: left out unless asked for.
    """

    name: str
    kind: Kind
    path: str
    about: str
    required: bool = False
    read: Callable[[Any], Any] | None = None
    is_name: bool = False

    def cell(self, value: Any) -> str:
        """Return a value as text; empty if there is none."""
        known = value if self.read is None else self.read(value)
        if known is None:
            return ""
        match self.kind:
            case Kind.STRING:
                return harmless(str(known))
            case Kind.BOOLEAN:
                return "true" if known else "false"
            case Kind.DATETIME:
                return _moment(known)
            case Kind.INTEGER:
                return str(known)
            case Kind.NUMBER:
                return number(known)

    def field(self) -> dict[str, Any]:
        """Return its field descriptor."""
        found: dict[str, Any] = {
            "name": self.name,
            "type": self.kind.value,
            "description": self.about,
        }
        if self.required:
            found["constraints"] = {"required": True}
        return found


@dataclass(frozen=True, slots=True)
class Reference:
    """Columns that name a row of another table, whose columns are called alike."""

    columns: tuple[str, ...]
    table: str


@dataclass(frozen=True, slots=True)
class Table:
    """One table.

    Attributes
    ----------
    rows : callable
        Given a course and paths, yields a tuple of their values for each row.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    rows: Callable[[int, tuple[str, ...]], Rows]
    references: tuple[Reference, ...] = ()

    @property
    def is_of_names(self) -> bool:
        """Whether nothing is left of it without names."""
        return any(one.is_name and one.name in self.key for one in self.columns)

    def without_names(self) -> "Table":
        """Return the table without columns that name people, or could."""
        kept = tuple(one for one in self.columns if not one.is_name)
        return Table(self.name, self.title, kept, self.key, self.rows, self.references)

    def cells(self, course_id: int) -> Iterator[list[str]]:
        """Yield every row as text; one query."""
        for values in self.rows(course_id, tuple(one.path for one in self.columns)):
            yield [
                column.cell(value)
                for column, value in zip(self.columns, values, strict=True)
            ]

    def schema(self) -> dict[str, Any]:
        """Return its Table Schema."""
        return {
            "fields": [one.field() for one in self.columns],
            "missingValues": [""],
            "primaryKey": list(self.key),
            "foreignKeys": [
                {
                    "fields": list(one.columns),
                    "reference": {"resource": one.table, "fields": list(one.columns)},
                }
                for one in self.references
            ],
        }


def _moment(value: datetime) -> str:
    return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
