"""A course as a Data Package: whole, readable, without names unless asked."""

import csv
import json
from datetime import datetime
from hashlib import sha256
from io import BytesIO, StringIO
from zipfile import ZipFile

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from jsonschema import Draft202012Validator

from results import grading
from results.exports import course_package
from results.models import Group, Reading, Station
from results.policy.refusals import NotFound
from results.rosters import join_group
from tests import factories
from tests.factories import NOW, actor, make_staff
from tests.results.grading.classes import make_graded, versions

pytestmark = pytest.mark.django_db
STAFF_ONLY = {"assigned_values", "recoveries", "staff_findings"}

# Rules of the Data Package standard, version 2.0 (datapackage.org: "Data Package",
# "Data Resource", "Table Schema", 26 June 2024), written down by hand from its text:
# what MUST be there, and of which type.
_NAMES = {"type": "array", "items": {"type": "string"}, "minItems": 1}
_FIELD = {
    "type": "object",
    "required": ["name", "type", "description"],
    "properties": {
        "name": {"type": "string", "minLength": 1},
        "type": {
            "enum": [
                *("string", "number", "integer", "boolean", "object", "array", "list"),
                *("datetime", "date", "time", "year", "yearmonth", "duration"),
                *("geopoint", "geojson", "any"),
            ]
        },
        "constraints": {
            "type": "object",
            "properties": {"required": {"type": "boolean"}},
        },
    },
}
_SCHEMA = {
    "type": "object",
    "required": ["fields"],
    "properties": {
        "fields": {"type": "array", "items": _FIELD, "minItems": 1},
        "missingValues": {"type": "array", "items": {"type": "string"}},
        "primaryKey": _NAMES,
        "foreignKeys": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["fields", "reference"],
                "properties": {
                    "fields": _NAMES,
                    "reference": {
                        "type": "object",
                        "required": ["fields"],
                        "properties": {
                            "resource": {"type": "string"},
                            "fields": _NAMES,
                        },
                    },
                },
            },
        },
    },
}
_RESOURCE = {
    "type": "object",
    "required": ["name", "path", "schema"],
    "properties": {
        "$schema": {"const": "https://datapackage.org/profiles/2.0/dataresource.json"},
        "name": {"type": "string", "pattern": "^[a-z0-9._/-]+$"},
        "type": {"const": "table"},
        # Relative POSIX paths only, without ".." (section "Path").
        "path": {"type": "string", "pattern": r"^(?!/)(?!.*\.\.)[^:~\\]+$"},
        "bytes": {"type": "integer", "minimum": 0},
        "hash": {"type": "string", "pattern": "^sha256:[0-9a-f]{64}$"},
        "schema": _SCHEMA,
    },
}
PACKAGE = {
    "type": "object",
    "required": ["resources"],
    "properties": {
        "$schema": {"const": "https://datapackage.org/profiles/2.0/datapackage.json"},
        "name": {"type": "string", "pattern": "^[a-z0-9._/-]+$"},
        # RFC 3339.
        "created": {"type": "string", "pattern": r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$"},
        "resources": {"type": "array", "items": _RESOURCE, "minItems": 1},
    },
}
# Lexical rules of field types in "Table Schema", default formats.
READ = {
    "string": str,
    "number": float,
    "integer": int,
    "boolean": {"true": True, "false": False}.__getitem__,
    "datetime": lambda text: datetime.strptime(text, "%Y-%m-%dT%H:%M:%S%z"),
}


@pytest.fixture
def graded():
    """A section with released grades, students and a group that means mischief."""
    section, groups = make_graded(2, 1)
    ada = actor(make_staff("ada", course=section.course))
    for act in (grading.accept_grades, grading.release_section):
        act(section.pk, seen=versions(section), actor=ada, now=NOW)
    join_group(groups[0], ["Priya Arden"], since=NOW)
    factories.make_group(section, "=1+1")
    return section, groups


def opened(*, names=False):
    archive = ZipFile(BytesIO(course_package("IRON-1", names=names, now=NOW)))
    descriptor = json.loads(archive.read("datapackage.json"))
    return descriptor, {
        one["name"]: list(csv.DictReader(StringIO(archive.read(one["path"]).decode())))
        for one in descriptor["resources"]
    }


def key_of(row, columns):
    return tuple(row[column] for column in columns)


@pytest.mark.parametrize("names", [False, True])
def test_the_descriptor_keeps_to_the_standard(graded, names):
    descriptor, _ = opened(names=names)

    assert not list(Draft202012Validator(PACKAGE).iter_errors(descriptor))
    resources = [one["name"] for one in descriptor["resources"]]
    assert len(set(resources)) == len(resources)


@pytest.mark.parametrize("names", [False, True])
def test_every_cell_is_of_the_type_that_its_field_declares(graded, names):
    descriptor, tables = opened(names=names)

    for one in descriptor["resources"]:
        for row in tables[one["name"]]:
            assert list(row) == [field["name"] for field in one["schema"]["fields"]]
            for field in one["schema"]["fields"]:
                text = row[field["name"]]
                required = field.get("constraints", {}).get("required")
                assert text or not required
                if text:
                    READ[field["type"]](text)


@pytest.mark.parametrize("names", [False, True])
def test_keys_are_unique_and_references_lead_to_a_row(graded, names):
    descriptor, tables = opened(names=names)

    for one in descriptor["resources"]:
        schema, rows = one["schema"], tables[one["name"]]
        keys = [key_of(row, schema["primaryKey"]) for row in rows]
        assert len(set(keys)) == len(keys)
        for foreign in schema["foreignKeys"]:
            target = foreign["reference"]
            there = {
                key_of(row, target["fields"]) for row in tables[target["resource"]]
            }
            assert {key_of(row, foreign["fields"]) for row in rows} <= there


def test_sizes_and_digests_are_those_of_the_files(graded):
    archive = ZipFile(BytesIO(course_package("IRON-1", names=False, now=NOW)))

    for one in json.loads(archive.read("datapackage.json"))["resources"]:
        content = archive.read(one["path"])
        assert one["bytes"] == len(content)
        assert one["hash"] == f"sha256:{sha256(content).hexdigest()}"


def test_nothing_is_lost_on_the_way(graded):
    _, groups = graded

    _, tables = opened()

    readings = [float(row["value"]) for row in tables["readings"]]
    stored = Reading.objects.values_list("value", flat=True)
    assert sorted(readings) == sorted(stored)
    assert len(tables["answers"]) == len(tables["submissions"]) == len(groups)
    assert [row["final_points"] for row in tables["grades"]][:3] == [
        "20.00",
        "20.00",
        "12.00",
    ]
    assert float(tables["grades"][2]["accuracy"]) < 10
    assert tables["findings"][0]["code"] == "tube_off"
    assert float(tables["recoveries"][0]["recovery"]) == pytest.approx(1, abs=1e-3)


def test_nobody_is_named_unless_asked(graded):
    whole = course_package("IRON-1", names=False, now=NOW)

    archive = ZipFile(BytesIO(whole))
    text = b"".join(archive.read(name) for name in archive.namelist()).decode()
    assert "Arden" not in text
    assert "ada" not in {cell for line in text.splitlines() for cell in line.split(",")}
    _, tables = opened(names=True)
    assert tables["students"][1]["student"] == "Priya Arden"
    assert tables["grades"][0]["accepted_by"] == "ada"


def test_assigned_values_stand_in_files_for_staff_only(graded):
    def passed_on(descriptor, tables):
        return {name: rows for name, rows in tables.items() if name not in STAFF_ONLY}

    before = passed_on(*opened())
    lot = graded[0].course.lots.get()
    lot.assigned_values.update(iron_percent=12.02)
    after = passed_on(*opened())

    assert before == after
    assert opened()[1]["assigned_values"][0]["iron_percent"] == "12.02"


def test_no_spreadsheet_runs_a_cell(graded):
    _, tables = opened()

    texts = {row["group"] for row in tables["groups"]}
    assert "'=1+1" in texts
    assert Group.objects.filter(code="=1+1").exists()


@pytest.mark.parametrize("size", [3, 30])
def test_the_number_of_queries_is_the_same_for_any_class(size):
    make_graded(size, 0)

    with CaptureQueriesContext(connection) as queries:
        course_package("IRON-1", names=True, now=NOW)

    # course; twelve tables, recoveries with lots and values
    assert len(queries) == 15


def test_the_command_writes_the_file(graded, tmp_path):
    file = tmp_path / "course.zip"

    call_command("export_package", "IRON-1", str(file), "--names")

    assert "students.csv" in ZipFile(file).namelist()


def test_the_command_says_what_is_wrong(graded, tmp_path):
    with pytest.raises(CommandError, match="no course"):
        call_command("export_package", "NONE", str(tmp_path / "course.zip"))
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("export_package", "IRON-1", str(tmp_path))


def test_an_unknown_course_is_refused():
    with pytest.raises(NotFound):
        course_package("NONE", names=False, now=NOW)


def test_a_station_without_any_reading_is_in_the_table(graded):
    Station.objects.create(course=graded[0].course, code="99")

    _, tables = opened()

    assert "99" in {row["station"] for row in tables["stations"]}
