"""Grades as they leave: tables, a package, a report to print."""

import csv
from io import BytesIO, StringIO
from zipfile import ZipFile

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from tests.factories import make_group
from tests.frontend.graded import accept_all, page, press, seen

pytestmark = pytest.mark.django_db


def test_the_tables_have_stable_columns_and_run_no_formula(assistant, graded):
    section, groups = graded
    groups[0].code = "=1+1"
    groups[0].save()

    lines = assistant.get(reverse("grades-csv", args=[section.pk])).content.decode()
    rows = list(csv.DictReader(StringIO(lines)))
    sheet = load_workbook(
        BytesIO(assistant.get(reverse("grades-xlsx", args=[section.pk])).content)
    ).active

    assert list(rows[0]) == [
        "course", "section", "group", "students", "state", "accuracy", "precision",
        "worked_answer", "completeness", "lateness", "resubmission",
        "lost_to_measurement", "lost_to_arithmetic", "lost_in_handing_in",
        "suggested_points", "final_points", "max_points", "set_by_hand", "reason",
        "comment", "look", "accepted_by", "accepted_at", "released_at",
        "scheme_version",
    ]  # fmt: skip
    assert [cell.value for cell in sheet[1]] == list(rows[0])
    assert "'=1+1" in [row["group"] for row in rows]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n"}
    odd = next(row for row in rows if row["group"] == "3")
    assert (odd["suggested_points"], odd["lost_to_measurement"]) == ("12.00", "6.00")


def test_the_oneroster_package_is_what_the_standard_asks_for(assistant, graded):
    section, _ = graded
    make_group(section, "9")
    accept_all(assistant, section)
    press(
        assistant,
        "grading-release",
        section.pk,
        seen=seen(section),
    )

    answer = assistant.get(reverse("grades-oneroster", args=[section.pk]))
    archive = ZipFile(BytesIO(answer.content))
    tables = {
        name: list(csv.DictReader(StringIO(archive.read(name).decode())))
        for name in archive.namelist()
    }

    manifest = {row["propertyName"]: row["value"] for row in tables["manifest.csv"]}
    assert manifest["oneroster.version"] == "1.2"
    assert {key for key, value in manifest.items() if value == "bulk"} == {
        "file.categories",
        "file.lineItems",
        "file.results",
    }
    (item,) = tables["lineItems.csv"]
    # Columns of results.csv: 1EdTech OneRoster 1.2, CSV Binding.
    assert list(tables["results.csv"][0])[:15] == [
        "sourcedId", "status", "dateLastModified", "lineItemSourcedId",
        "studentSourcedId", "scoreStatus", "score", "scoreDate", "comment",
        "textScore", "classSourcedId", "inProgress", "incomplete", "late", "missing",
    ]  # fmt: skip
    assert [
        (row["scoreStatus"], row["score"], row["metadata.group"], row["missing"])
        for row in tables["results.csv"]
    ] == [
        ("fully graded", "20.00", "1", "false"),
        ("fully graded", "20.00", "2", "false"),
        ("fully graded", "12.00", "3", "false"),
        ("fully graded", "0.00", "9", "true"),
    ]
    assert {row["lineItemSourcedId"] for row in tables["results.csv"]} == {
        item["sourcedId"]
    }


def test_no_score_leaves_before_its_release(assistant, graded):
    section, _ = graded
    make_group(section, "9")
    press(assistant, "grading-accept", section.pk, clean="1", seen=seen(section))

    answer = assistant.get(reverse("grades-oneroster", args=[section.pk]))
    results = ZipFile(BytesIO(answer.content)).read("results.csv").decode()

    assert [
        (row["scoreStatus"], row["score"], row["comment"])
        for row in csv.DictReader(StringIO(results))
    ] == [("submitted", "", "")] * 3 + [("not submitted", "", "")]


def test_the_report_holds_the_table_and_every_line(assistant, graded):
    section, _ = graded

    content = page(assistant, "grading-report", section.pk)

    assert content.count('<line class="fit"') == 3
    assert "3 groups from 12 to 20 points" in content
