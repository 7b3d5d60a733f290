"""People from a OneRoster 1.2 bundle (1EdTech, CSV Binding 1.2.1): a zip of CSV files.

Read are `manifest.csv`, `users.csv`, `classes.csv`, `courses.csv` and
`enrollments.csv`, with the columns of the standard's tables by their names. Each
enrolment as a student becomes a row; nothing else of the bundle is kept, no address and
no birthday.
"""

import csv
import io
import struct
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from zipfile import BadZipFile, ZipFile

from results.policy.roster.decoding import Undecodable, decode
from results.policy.roster.grid import LARGEST_MB, MOST_ROWS, Grid, GridRow
from results.policy.roster.refusals import NotARoster
from results.policy.tables import RowProblem

# A bundle may pack well; so much of one file is unpacked and no more.
_LARGEST_UNPACKED = 20 * 2**20
_VERSION = "1.2"
_NEEDED = {
    "users": ("sourcedId", "givenName", "familyName"),
    "classes": ("sourcedId", "title", "courseSourcedId"),
    "courses": ("sourcedId", "title"),
    "enrollments": ("classSourcedId", "userSourcedId", "role"),
}
HEAD = ("given name", "family name", "number", "section", "class title", "course")
_COURSE = HEAD.index("course")
_Record = dict[str, str]
# What the library raises for archives that are broken, locked or exotic.
_BROKEN = (
    *(BadZipFile, zlib.error, EOFError, OSError),
    *(NotImplementedError, RuntimeError, ValueError, struct.error),
)


@dataclass(frozen=True, slots=True)
class _Bundle:
    users: Mapping[str, _Record]
    classes: Mapping[str, _Record]
    courses: Mapping[str, _Record]
    enrollments: tuple[tuple[int, _Record], ...]


def is_bundle(content: bytes) -> bool:
    """Whether the bytes of a file begin as those of a zip archive do."""
    return content.startswith(b"PK\x03\x04")


def read_bundle(content: bytes, *, today: date) -> Grid:
    """Return the students of a bundle, one enrolment a row.

    The number of a person is `identifier`, or `sourcedId` where nobody has one; the
    section is `classCode`, or `title` where it is empty.

    Parameters
    ----------
    today : date
        Enrolments whose `endDate`, the first day without, has come are left out.

    Raises
    ------
    NotARoster
        It is no bundle of this version that holds everything, or refers to what it
        does not hold.
    """
    if len(content) > LARGEST_MB * 2**20:
        message = f"The file is larger than {LARGEST_MB} MB."
        raise _refused(message)
    try:
        with ZipFile(io.BytesIO(content)) as archive:
            bundle = _bundle(archive)
    except _BROKEN as error:
        message = "The archive cannot be unpacked. Export the bundle anew."
        raise _refused(message) from error
    return _grid(bundle, today)


def _refused(message: str, file: str = "", row: int = 1) -> NotARoster:
    return NotARoster([RowProblem(row, file, message)])


def _bundle(archive: ZipFile) -> _Bundle:
    said = {
        record.get("propertyName", ""): record.get("value", "")
        for _, record in _records(archive, "manifest", ("propertyName", "value"))
    }
    if said.get("oneroster.version") != _VERSION:
        message = f"Its oneroster.version is not {_VERSION}, which alone can be read."
        raise _refused(message, "manifest.csv")
    for name in _NEEDED:
        if said.get(f"file.{name}") != "bulk":
            message = (
                f"file.{name} is not “bulk”: only a bundle that holds everything can "
                "be compared with the course. Export it in full."
            )
            raise _refused(message, "manifest.csv")
    files = {
        name: _records(archive, name, columns) for name, columns in _NEEDED.items()
    }
    by_id = {
        name: {one["sourcedId"]: one for _, one in files[name]}
        for name in ("users", "classes", "courses")
    }
    return _Bundle(**by_id, enrollments=tuple(files["enrollments"]))


def _records(
    archive: ZipFile, name: str, needed: tuple[str, ...]
) -> list[tuple[int, _Record]]:
    """Return the rows of a file with their numbers, cells by column."""
    file = f"{name}.csv"
    rows = _rows(_unpacked(archive, file), file)
    head = [cell.strip() for cell in rows[0]] if rows else []
    missing = [column for column in needed if column not in head]
    if missing:
        message = f"The column {missing[0]} is missing."
        raise _refused(message, file)
    records = []
    for number, cells in enumerate(rows[1:], start=2):
        if len(cells) == len(head):
            values = (cell.strip() for cell in cells)
            records.append((number, dict(zip(head, values, strict=True))))
        elif any(cells):
            message = f"The row has {len(cells)} cells, the head {len(head)}."
            raise _refused(message, file, number)
    return records


def _unpacked(archive: ZipFile, file: str) -> bytes:
    if file not in archive.namelist():
        message = "The bundle has no such file."
        raise _refused(message, file)
    with archive.open(file) as packed:
        content = packed.read(_LARGEST_UNPACKED + 1)
    if len(content) > _LARGEST_UNPACKED:
        message = "The file is far too large for a roster."
        raise _refused(message, file)
    return content


def _rows(content: bytes, file: str) -> list[list[str]]:
    try:
        text = decode(content).text
        return list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except Undecodable as error:
        raise _refused(str(error), file, error.line) from error
    except csv.Error as error:
        message = "A row cannot be told apart into cells. Export the bundle anew."
        raise _refused(message, file) from error


def _grid(bundle: _Bundle, today: date) -> Grid:
    rows: list[GridRow] = []
    problems: list[RowProblem] = []
    n_others = n_ended = 0
    has_identifiers = any(one.get("identifier") for one in bundle.users.values())
    for number, record in bundle.enrollments:
        if record.get("role") != "student" or record.get("status") == "tobedeleted":
            n_others += 1
        elif _has_ended(record, today):
            n_ended += 1
        else:
            missing = list(_missing(number, record, bundle))
            problems += missing
            if not missing:
                cells = _cells(record, bundle, has_identifiers=has_identifiers)
                rows.append(GridRow(number, cells))
    if not rows and not problems:
        message = "Nobody is enrolled as a student."
        raise _refused(message, "enrollments.csv")
    if len(rows) > MOST_ROWS:
        message = f"More than {MOST_ROWS} enrolments cannot be read."
        raise _refused(message, "enrollments.csv")
    parts = tuple(sorted({row.cells[_COURSE] for row in rows}))
    return Grid(
        source="OneRoster 1.2 bundle; rows are those of enrollments.csv",
        head=HEAD,
        rows=tuple(rows),
        parts=parts if len(parts) > 1 else (),
        part_column=_COURSE,
        notes=tuple(_notes(n_others, n_ended)),
        problems=tuple(problems),
    )


def _has_ended(record: _Record, today: date) -> bool:
    try:
        return date.fromisoformat(record.get("endDate", "")) <= today
    except ValueError:
        return False


def _missing(number: int, record: _Record, bundle: _Bundle) -> Iterator[RowProblem]:
    user = bundle.users.get(record["userSourcedId"])
    if user is None:
        yield RowProblem(number, "userSourcedId", "users.csv has no such person.")
    room = bundle.classes.get(record["classSourcedId"])
    if room is None:
        yield RowProblem(number, "classSourcedId", "classes.csv has no such class.")
    elif room["courseSourcedId"] not in bundle.courses:
        message = "The course of this class is not in courses.csv."
        yield RowProblem(number, "classSourcedId", message)


def _cells(
    record: _Record, bundle: _Bundle, *, has_identifiers: bool
) -> tuple[str, ...]:
    user = bundle.users[record["userSourcedId"]]
    room = bundle.classes[record["classSourcedId"]]
    course = bundle.courses[room["courseSourcedId"]]
    code = course.get("courseCode", "")
    return (
        user.get("preferredGivenName") or user["givenName"],
        user.get("preferredFamilyName") or user["familyName"],
        user.get("identifier", "") if has_identifiers else user["sourcedId"],
        room.get("classCode") or room["title"],
        room["title"],
        f"{course['title']} ({code})" if code else course["title"],
    )


def _notes(n_others: int, n_ended: int) -> Iterator[str]:
    if n_others:
        yield f"{n_others} enrolments of others than students were left out."
    if n_ended:
        yield f"{n_ended} enrolments that have ended were left out."
