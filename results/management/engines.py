"""Copying a whole database out and in, with each engine's own means.

Both copies are of one moment, while the site goes on; both keep triggers,
constraints and sequences, which an export row by row would not.
"""

import os
import sqlite3
import subprocess
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from shutil import which
from typing import Any, Protocol

from django.db import connection, transaction


class BackupRefused(Exception):
    """A backup cannot be made or restored; the message says what to mend."""


class Engine(Protocol):
    """What is asked of an engine."""

    name: str

    def copy_out(self, file: Path) -> dict[str, int]:
        """Write the database to a file; return the rows of each table in it."""

    def copy_in(self, file: Path) -> None:
        """Put what a file holds in the place of the whole database."""


def engine_in_use() -> Engine:
    """Return how the configured database is copied."""
    if connection.vendor == "sqlite":
        return SQLite(Path(connection.settings_dict["NAME"]))
    return _PostgreSQL(connection.settings_dict)


def count_rows() -> dict[str, int]:
    """Return the number of rows of every table in the configured database."""
    with connection.cursor() as cursor:
        return {
            table: _count(cursor, connection.ops.quote_name(table))
            for table in sorted(connection.introspection.table_names(cursor))
        }


def _count(cursor: Any, quoted: str) -> int:
    cursor.execute(f"SELECT count(*) FROM {quoted}")  # noqa: S608 - a table's own name
    return int(cursor.fetchone()[0])


class SQLite:
    """By the library's online backup, which waits for whoever writes."""

    name = "sqlite"

    def __init__(self, database: Path) -> None:
        self._database = database

    def copy_out(self, file: Path) -> dict[str, int]:
        """Write the database to a file; return the rows of each table in it."""
        with (
            closing(sqlite3.connect(self._database)) as here,
            closing(sqlite3.connect(file)) as there,
        ):
            here.backup(there)
            cursor = there.cursor()
            cursor.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' "
                "AND name NOT LIKE 'sqlite_%' ORDER BY name"
            )
            return {
                table: _count(cursor, f'"{table}"') for (table,) in cursor.fetchall()
            }

    def copy_in(self, file: Path) -> None:
        """Put a sound copy in the place of the database.

        Raises
        ------
        BackupRefused
            The copy is damaged; the database is as it was.
        """
        connection.close()
        with (
            closing(sqlite3.connect(file)) as there,
            closing(sqlite3.connect(self._database)) as here,
        ):
            # The library copies page by page, sound or not.
            _check_sound(there)
            there.backup(here)


def _check_sound(copy: sqlite3.Connection) -> None:
    try:
        ((said, *_), *_) = copy.execute("PRAGMA quick_check(1)").fetchall()
    except sqlite3.DatabaseError as error:
        said = str(error)
    if said != "ok":
        message = f"The copy is damaged, nothing was changed: {said}."
        raise BackupRefused(message)


class _PostgreSQL:
    """By pg_dump, pg_restore and psql, which come with every PostgreSQL client."""

    name = "postgresql"

    def __init__(self, settings: Mapping[str, Any]) -> None:
        self._settings = settings

    def copy_out(self, file: Path) -> dict[str, int]:
        with transaction.atomic(), connection.cursor() as cursor:
            # The counts and the copy see the same moment.
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            cursor.execute("SELECT pg_export_snapshot()")
            (snapshot,) = cursor.fetchone()
            rows = count_rows()
            self._run(
                "pg_dump",
                "--format=custom",
                "--no-owner",
                "--no-privileges",
                f"--snapshot={snapshot}",
                f"--file={file}",
                self._settings["NAME"],
            )
        return rows

    def copy_in(self, file: Path) -> None:
        connection.close()
        script = file.with_suffix(".sql")
        self._run(
            "pg_restore",
            "--no-owner",
            "--no-privileges",
            f"--file={script}",
            str(file),
        )
        # One transaction: either all of the copy is there, or all that was before.
        # Tables of a newer version go too, so that migrate can make them anew.
        self._run(
            "psql",
            "--no-psqlrc",
            "--quiet",
            "--single-transaction",
            "--set=ON_ERROR_STOP=1",
            "--command=DROP SCHEMA public CASCADE",
            "--command=CREATE SCHEMA public",
            f"--file={script}",
            f"--dbname={self._settings['NAME']}",
        )

    def _run(self, program: str, *arguments: str) -> None:
        found = which(program)
        if found is None:
            message = f"{program} is not on this machine: install PostgreSQL's client."
            raise BackupRefused(message)
        done = subprocess.run(  # noqa: S603 - our own arguments, no shell
            [found, *arguments],
            env={**os.environ, **self._where()},
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            message = f"{program} failed: {done.stderr.strip()}"
            raise BackupRefused(message)

    def _where(self) -> dict[str, str]:
        """Return where the server is and who asks, kept off the command line."""
        names = {"PGHOST": "HOST", "PGPORT": "PORT", "PGUSER": "USER"}
        names["PGPASSWORD"] = "PASSWORD"
        return {
            variable: str(self._settings[name])
            for variable, name in names.items()
            if self._settings.get(name)
        }
