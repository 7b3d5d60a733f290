"""A backup: one zip archive with a copy of the database and what it should hold."""

import hmac
import json
import struct
import zlib
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import datetime
from hashlib import file_digest, sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from results.management.engines import BackupRefused, count_rows, engine_in_use

FORMAT = 1
_MANIFEST, _COPY = "manifest.json", "database"
# What the libraries raise for archives that are broken, locked or exotic.
_BROKEN = (
    *(BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError),
    *(KeyError, TypeError, ValueError, RuntimeError),
)
# Changes all the time by itself, and says nothing about a course.
_RESTLESS = frozenset({"benchwide_cache", "django_session"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a backup holds.

    Attributes
    ----------
    engine : str
        ``sqlite`` or ``postgresql``.
    migrations : list of str
        Applied ones, as ``app.name``.
    rows : dict of str to int
        Rows by table.
    digest : str
        SHA-256 of the copy.
    key_mark : str
        Tells whether the secret key is the same, and nothing of the key: slips and
        sessions are worth nothing under another.
    """

    format: int
    made_at: str
    engine: str
    migrations: list[str]
    rows: dict[str, int]
    digest: str
    key_mark: str


def back_up(file: Path, *, now: datetime) -> Manifest:
    """Write a backup; the site may go on meanwhile.

    Raises
    ------
    BackupRefused
        The file exists, cannot be written, or the engine's programs are missing.
    """
    if file.exists():
        message = f"{file} exists. Give a new name: a backup is never overwritten."
        raise BackupRefused(message)
    engine = engine_in_use()
    with TemporaryDirectory() as folder:
        copy = Path(folder) / _COPY
        rows = engine.copy_out(copy)
        manifest = Manifest(
            format=FORMAT,
            made_at=now.isoformat(timespec="seconds"),
            engine=engine.name,
            migrations=_applied(),
            rows=rows,
            digest=_digest(copy),
            key_mark=_key_mark(),
        )
        _write(file, copy, manifest)
    return manifest


def restore(
    file: Path, *, replace: bool, told: Callable[[str], object] = lambda _: None
) -> Manifest:
    """Put a backup in the place of the whole database, and compare.

    Web servers and workers have to be stopped.

    Parameters
    ----------
    replace : bool
        Whether courses that are there may be lost.
    told : callable
        Told what a person should know besides.

    Raises
    ------
    BackupRefused
        The archive is damaged, of another engine or of a newer version; the database
        holds courses; or afterwards it does not hold what the backup says.
    """
    engine = engine_in_use()
    with TemporaryDirectory() as folder:
        manifest, copy = read_backup(file, Path(folder))
        _check_fits(manifest, engine.name)
        if not replace and _holds_courses():
            message = "The database holds courses. Add --replace to lose them."
            raise BackupRefused(message)
        engine.copy_in(copy)
    _compare(manifest)
    if manifest.key_mark != _key_mark():
        told(
            "SECRET_KEY is another than the backup's: everybody signs in again, and "
            "slips have to be made anew."
        )
    return manifest


def _write(file: Path, copy: Path, manifest: Manifest) -> None:
    part = file.with_name(file.name + ".part")
    try:
        with ZipFile(part, "w", ZIP_DEFLATED) as archive:
            archive.writestr(_MANIFEST, json.dumps(asdict(manifest), indent=1))
            archive.write(copy, _COPY)
        # It holds people's names and every assigned value.
        part.chmod(0o600)
        part.rename(file)
    except OSError as error:
        part.unlink(missing_ok=True)
        message = f"{file} cannot be written: {error.strerror}."
        raise BackupRefused(message) from error


def read_backup(file: Path, folder: Path) -> tuple[Manifest, Path]:
    """Return what an archive says, and its copy of the database, put into a folder.

    Raises
    ------
    BackupRefused
        It cannot be read, is no backup, or is damaged.
    """
    try:
        with ZipFile(file) as archive:
            manifest = _manifest(json.loads(archive.read(_MANIFEST)))
            copy = Path(archive.extract(_COPY, folder))
    except OSError as error:
        message = f"{file} cannot be read: {error.strerror or error}."
        raise BackupRefused(message) from error
    except _BROKEN as error:
        message = f"{file} is no backup, or is damaged."
        raise BackupRefused(message) from error
    if _digest(copy) != manifest.digest:
        message = f"{file} is damaged: its copy is not the one that was made."
        raise BackupRefused(message)
    return manifest, copy


def _manifest(said: Any) -> Manifest:
    """Return what an archive says of itself; `TypeError` if it is not of our shape."""
    manifest = Manifest(**said)
    texts = [said[name] for name in ("made_at", "engine", "digest", "key_mark")]
    of_shape = (
        isinstance(said["format"], int)
        and isinstance(said["migrations"], list)
        and isinstance(said["rows"], dict)
        and all(isinstance(one, str) for one in (*texts, *said["migrations"]))
        and all(isinstance(count, int) for count in said["rows"].values())
    )
    if not of_shape:
        raise TypeError(_MANIFEST)
    return manifest


def _check_fits(manifest: Manifest, engine: str) -> None:
    if manifest.format != FORMAT:
        message = f"The backup has format {manifest.format}; this is {FORMAT}."
        raise BackupRefused(message)
    if manifest.engine != engine:
        message = (
            f"The backup is of {manifest.engine}, DATABASE_URL names {engine}: "
            "restore it there."
        )
        raise BackupRefused(message)
    known = {".".join(key) for key in MigrationLoader(None).disk_migrations}
    if newer := sorted(set(manifest.migrations) - known):
        message = f"The backup is of a newer version, which has {newer[-1]}. Upgrade."
        raise BackupRefused(message)


def _compare(manifest: Manifest) -> None:
    found = count_rows()
    for table, rows in manifest.rows.items():
        if table not in _RESTLESS and found.get(table) != rows:
            message = f"{table} should have {rows} rows, and has {found.get(table)}."
            raise BackupRefused(message)


def _applied() -> list[str]:
    loader = MigrationLoader(connection)
    return sorted(".".join(key) for key in loader.applied_migrations)


def _holds_courses() -> bool:
    return count_rows().get("results_course", 0) > 0


def _digest(file: Path) -> str:
    with file.open("rb") as stream:
        return file_digest(stream, "sha256").hexdigest()


def _key_mark() -> str:
    key = settings.SECRET_KEY.encode()
    return hmac.new(key, b"mark of a backup", sha256).hexdigest()[:16]
