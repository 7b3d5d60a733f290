"""Triggers by which the database itself keeps a table's rows as they are.

For migrations. A migration that rebuilds such a table on SQLite drops its trigger
with it, and has to name the operation again.
"""

from functools import partial

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations import RunPython
from django.db.migrations.state import StateApps


def keep_rows(table: str, name: str, *, deletions: bool = False) -> RunPython:
    """Return the operation that keeps a table's rows from being updated.

    Parameters
    ----------
    name : str
        Of the trigger; whoever is refused reads it.
    deletions : bool
        Whether rows stay as well. On PostgreSQL only, which empties tables by
        truncating; SQLite's are emptied by deleting.
    """
    return RunPython(
        partial(_keep, table=table, name=name, deletions=deletions),
        partial(_let_go, table=table, name=name),
    )


def _keep(
    apps: StateApps,  # noqa: ARG001 - Django passes it
    schema_editor: BaseDatabaseSchemaEditor,
    *,
    table: str,
    name: str,
    deletions: bool,
) -> None:
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(
            f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{name}' "
            f"USING ERRCODE = 'integrity_constraint_violation'; END $$"
        )
        when = "UPDATE OR DELETE" if deletions else "UPDATE"
        schema_editor.execute(
            f"CREATE TRIGGER {name} BEFORE {when} ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {name}()"
        )
    elif schema_editor.connection.vendor == "sqlite":
        schema_editor.execute(
            f"CREATE TRIGGER {name} BEFORE UPDATE ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{name}'); END"
        )


def _let_go(
    apps: StateApps,  # noqa: ARG001 - Django passes it
    schema_editor: BaseDatabaseSchemaEditor,
    *,
    table: str,
    name: str,
) -> None:
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(f"DROP TRIGGER {name} ON {table}")
        schema_editor.execute(f"DROP FUNCTION {name}()")
    elif schema_editor.connection.vendor == "sqlite":
        schema_editor.execute(f"DROP TRIGGER {name}")
