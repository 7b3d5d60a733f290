"""The archive: tables as CSV (RFC 4180) and the descriptor that explains them.

Names and values of the descriptor follow the standard's pages "Data Package", "Data
Resource" and "Table Schema", version 2.0 (datapackage.org, 2024).
"""

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from hashlib import sha256
from io import BytesIO
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

from results.exports.cells import csv_text
from results.exports.package.columns import Table
from results.exports.package.tables import TABLES
from results.models import Course
from results.models.courses import find_course

_PACKAGE = "https://datapackage.org/profiles/2.0/datapackage.json"
_RESOURCE = "https://datapackage.org/profiles/2.0/dataresource.json"
_ABOUT = (
    "Current submissions of a course. Cells that a spreadsheet would run as a formula "
    "begin with an apostrophe. assigned_values, recoveries and staff_findings are for "
    "staff only; the others name no assigned value."
)


def course_package(course_code: str, *, names: bool, now: datetime) -> bytes:
    """Return a course as a zip archive with `datapackage.json` and its tables.

    For coordinators only; whoever calls asks for their rights first.

    Parameters
    ----------
    names : bool
        Whether students, staff and free texts about them are named.

    Raises
    ------
    NotFound
        There is no such course.
    """
    course = find_course(course_code)
    tables = TABLES if names else _nameless()
    out = BytesIO()
    resources = []
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        for table in tables:
            header = [column.name for column in table.columns]
            content = csv_text(header, table.cells(course.pk)).encode()
            archive.writestr(_path(table), content)
            resources.append(_resource(table, content))
        descriptor = json.dumps(_package(course, resources, now), indent=2)
        archive.writestr("datapackage.json", descriptor)
    return out.getvalue()


def _nameless() -> tuple[Table, ...]:
    return tuple(one.without_names() for one in TABLES if not one.is_of_names)


def _path(table: Table) -> str:
    return f"{table.name}.csv"


def _package(
    course: Course, resources: list[dict[str, Any]], now: datetime
) -> Mapping[str, Any]:
    return {
        "$schema": _PACKAGE,
        "name": f"benchwide-{course.code}".lower(),
        "title": course.title or course.code,
        "description": _ABOUT,
        "created": now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "resources": resources,
    }


def _resource(table: Table, content: bytes) -> dict[str, Any]:
    return {
        "$schema": _RESOURCE,
        "name": table.name,
        "type": "table",
        "path": _path(table),
        "title": table.title,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": len(content),
        "hash": f"sha256:{sha256(content).hexdigest()}",
        "schema": table.schema(),
    }
