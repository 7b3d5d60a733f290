"""Many rows written in one go, given column by column."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, cast

import orjson
from django.db import connection
from django.db.models import DateTimeField, Field, JSONField, Model

Columns = Mapping[str, Sequence[Any]]


def upsert(model: type[Model], columns: Columns, *, unique: str, counter: str) -> None:
    """Insert rows, or write over those that are there already.

    One prepared statement for all of them: making and checking each row as a model
    took a worker more time than computing it.

    Parameters
    ----------
    columns : mapping
        By name of a field, the values of all rows.  Numbers are finite or None; what
        is not finite within JSON is written as null.
    unique : str
        The field by which a row is found again.
    counter : str
        The field that counts how often its row was written, from 1.

    Raises
    ------
    django.db.DatabaseError
        The database refuses a row.
    """
    fields = [_field(model, name) for name in columns]
    values = map(_prepared, fields, columns.values())
    statement = _statement(model, [field.column for field in fields], unique, counter)
    with connection.cursor() as cursor:
        cursor.executemany(statement, list(zip(*values, strict=True)))


def _field(model: type[Model], name: str) -> "Field[Any, Any]":
    field = model._meta.get_field(name)  # noqa: SLF001 - Django documents it
    return cast("Field[Any, Any]", field)


def _prepared(field: "Field[Any, Any]", values: Sequence[Any]) -> Iterable[Any]:
    if isinstance(field, JSONField):
        return [orjson.dumps(value).decode() for value in values]
    if isinstance(field, DateTimeField):
        return [field.get_db_prep_save(value, connection) for value in values]
    return values


def _statement(
    model: type[Model], columns: list[str], unique: str, counter: str
) -> str:
    quoted = connection.ops.quote_name
    table = quoted(model._meta.db_table)  # noqa: SLF001 - as above
    names = [quoted(column) for column in columns]
    anew = [f"{name} = EXCLUDED.{name}" for name in names if name != quoted(unique)]
    count = quoted(counter)
    # Only names stand in the text, as the database quotes them; values are bound.
    return (
        f"INSERT INTO {table} ({', '.join(names)}, {count}) "  # noqa: S608
        f"VALUES ({', '.join(['%s'] * len(names))}, 1) "
        f"ON CONFLICT ({quoted(unique)}) "
        f"DO UPDATE SET {', '.join(anew)}, {count} = {table}.{count} + 1"
    )
