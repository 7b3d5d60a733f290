"""Programs of staff read grades; a group reads its own once it is released."""

import csv
import json
from io import BytesIO, StringIO
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook

from results import grading
from tests import factories
from tests.factories import NOW, actor, make_staff, slip_code
from tests.results.grading.classes import make_graded, versions

pytestmark = pytest.mark.django_db


@pytest.fixture
def graded():
    return make_graded(1, 1)


@pytest.fixture
def ben(graded):
    section, _ = graded
    return actor(make_staff("ben", role="assistant", section=section))


def release(section, who):
    seen = versions(section)
    grading.accept_grades(section.pk, seen=seen, actor=who, now=NOW)
    seen = versions(section)
    grading.release_section(section.pk, seen=seen, actor=who, now=NOW)


def test_grades_of_a_section_are_listed_with_parts_and_reasons(program, graded, ben):
    section, _ = graded

    told = program.as_staff("ben").see(f"sections/{section.pk}/grades").json()

    clean, odd = told["results"]
    assert (clean["suggested_points"], odd["suggested_points"]) == (20.0, 12.0)
    assert odd["look"][0] == "One standard off the line"
    assert odd["parts"][0]["reason"].startswith("10.2")
    assert (odd["lost_to_measurement"], odd["lost_to_arithmetic"]) == (6.0, 2.0)


def test_reasons_are_closed_where_the_course_hides_assigned_values(
    program, graded, ben
):
    section, _ = graded
    section.course.assistants_see_assigned = False
    section.course.save()

    answer = program.as_staff("ben").see(f"sections/{section.pk}/grades")

    assert b"from the assigned value" not in answer.content


def test_without_a_scheme_a_program_is_told_so(program):
    section = factories.make_section(factories.make_course("IRON-7"))
    make_staff("dora", course=section.course)

    answer = program.as_staff("dora").see(f"sections/{section.pk}/grades")

    assert answer.status_code == 409
    assert answer.json()["type"] == "/api/v1/problems/no-grading-scheme"


def test_the_history_of_a_grade_is_told(program, graded, ben):
    section, groups = graded
    release(section, ben)

    told = program.as_staff("ben").see(f"groups/{groups[0].pk}/grade").json()

    assert [(one["kind"], one["by"], one["after"]) for one in told["changes"]] == [
        ("accepted", "ben", 20.0),
        ("released", "ben", 20.0),
    ]


def test_a_group_reads_its_grade_only_once_it_is_released(program, graded, ben):
    section, _ = graded
    program.as_group(slip_code(2))
    before = program.see("grade").json()

    release(section, ben)

    after = program.see("grade").json()
    assert before == {"is_released": False, "grade": None}
    assert after["grade"]["points"] == 12.0
    assert "assigned" not in str(after)


def test_a_course_may_tell_its_groups_how_far_off_they_were(program, graded, ben):
    section, _ = graded
    section.course.error_shown = True
    section.course.save()
    release(section, ben)

    told = program.as_group(slip_code(2)).see("grade").json()

    assert told["grade"]["parts"][0]["reason"].startswith("10.2")


def test_grades_are_taken_as_files(program, graded, ben):
    section, _ = graded
    release(section, ben)
    program.as_staff("ben")

    table = program.see(f"sections/{section.pk}/grades.csv")
    workbook = program.see(f"sections/{section.pk}/grades.xlsx")
    package = program.see(f"sections/{section.pk}/oneroster.zip")

    assert table.headers["Content-Type"] == "text/csv"
    assert [row["final_points"] for row in csv.DictReader(StringIO(table.text))] == [
        "20.00",
        "12.00",
    ]
    assert load_workbook(BytesIO(workbook.content)).active.max_row == 3
    assert "results.csv" in ZipFile(BytesIO(package.content)).namelist()


def test_a_file_that_cannot_be_had_is_a_problem_document(program, graded, ben):
    other = factories.make_section(factories.make_course("IRON-7"))

    answer = program.as_staff("ben").get(
        f"/api/v1/sections/{other.pk}/grades.csv", headers={"Accept": "text/csv"}
    )

    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert json.loads(answer.content)["status"] == 404
