"""Pages on which grades are set, released, explained and printed."""

import csv
import re
from io import BytesIO, StringIO
from zipfile import ZipFile

import pytest
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from results.models import Allowance, Grade, GradingScheme
from tests.factories import (
    make_course,
    make_group,
    make_section,
    make_staff,
)
from tests.results.grading.classes import grade_of, make_graded, versions

pytestmark = pytest.mark.django_db


@pytest.fixture
def graded():
    return make_graded(2, 1)


@pytest.fixture
def assistant(client, graded):
    section, _ = graded
    client.force_login(make_staff("ben", role="assistant", section=section))
    return client


@pytest.fixture
def coordinator(client, graded):
    section, _ = graded
    client.force_login(make_staff("ada", course=section.course))
    return client


def page(client, name, *args):
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


def press(client, name, *args, **fields):
    return client.post(reverse(name, args=args), fields)


def seen(section):
    return " ".join(
        f"{group}:{version}" for group, version in versions(section).items()
    )


def accept_all(client, section):
    press(client, "grading-accept", section.pk, clean="1", seen=seen(section))
    drafts = Grade.objects.filter(state="draft").values_list("group_id", flat=True)
    press(
        client,
        "grading-accept",
        section.pk,
        some="1",
        chosen=list(drafts),
        seen=seen(section),
    )


def test_the_title_says_how_far_the_grading_is(assistant, graded):
    section, _ = graded
    assert "<h1>One of three wants a look; two can be accepted together</h1>" in page(
        assistant, "grading", section.pk
    )

    accept_all(assistant, section)
    assert "All three are accepted; ready to release" in page(
        assistant, "grading", section.pk
    )
    press(assistant, "grading-release", section.pk, seen=seen(section))

    assert "All three are released" in page(assistant, "grading", section.pk)


def test_rows_to_look_at_come_first_and_are_marked(assistant, graded):
    section, groups = graded

    content = page(assistant, "grading", section.pk)

    order = [int(pk) for pk in re.findall(r'<tbody id="g-(\d+)"', content)]
    assert order == [groups[2].pk, groups[0].pk, groups[1].pk]
    assert content.count('class="mark"') == 1
    assert "One standard off the line" in content


def test_a_filter_has_an_address(assistant, graded):
    section, groups = graded

    answer = assistant.get(reverse("grading", args=[section.pk]), {"show": "look"})

    content = answer.content.decode()
    assert re.findall(r'<tbody id="g-(\d+)"', content) == [str(groups[2].pk)]


def test_the_error_is_hidden_where_the_course_hides_assigned_values(assistant, graded):
    section, _ = graded
    section.course.assistants_see_assigned = False
    section.course.save()

    content = page(assistant, "grading", section.pk)

    assert "from the assigned value" not in content
    assert "error, %" not in content


def test_what_was_typed_is_kept_when_it_is_refused(assistant, graded):
    section, groups = graded

    answer = press(
        assistant,
        "grade-change",
        section.pk,
        groups[0].pk,
        "set",
        seen="0",
        points="21",
        reason="a very good page",
    )

    content = answer.content.decode()
    assert answer.status_code == 422
    assert "Write points from 0 to 20" in content
    assert 'value="a very good page"' in content


def test_the_second_of_two_browsers_is_told_and_keeps_what_it_typed(assistant, graded):
    section, groups = graded
    other = Client()
    other.force_login(make_staff("cleo", role="assistant", section=section))
    form = {"seen": "0", "points": "17", "reason": "saw the page"}
    press(other, "grade-change", section.pk, groups[0].pk, "set", **form)

    answer = press(
        assistant,
        "grade-change",
        section.pk,
        groups[0].pk,
        "set",
        **form | {"points": "18"},
    )

    content = answer.content.decode()
    assert answer.status_code == 409
    assert "group 1 was changed by cleo at" in content
    assert 'value="18"' in content
    assert grade_of(groups[0]).final_points == 17


@pytest.mark.parametrize("deed", ["comment", "seen", "back", "decide", "set"])
def test_every_deed_on_one_grade_answers(assistant, graded, deed):
    section, groups = graded
    accept_all(assistant, section)
    version = grade_of(groups[0]).version

    answer = press(
        assistant,
        "grade-change",
        section.pk,
        groups[0].pk,
        deed,
        seen=version,
        comment="Neat.",
        points="3",
        reason="why",
    )

    assert answer.status_code == (409 if deed == "decide" else 302)


def test_a_deed_that_nobody_knows_is_not_found(assistant, graded):
    section, groups = graded

    answer = press(assistant, "grade-change", section.pk, groups[0].pk, "burn")

    assert answer.status_code == 404


def test_the_history_says_who_when_what_and_why(assistant, graded):
    section, groups = graded
    press(
        assistant,
        "grade-change",
        section.pk,
        groups[0].pk,
        "set",
        seen="0",
        points="18",
        reason="saw the page",
    )

    content = page(assistant, "grade-history", groups[0].pk)

    assert "<h1>One change since the first suggestion</h1>" in content
    for words in ("ben", "set by hand", "saw the page", ">18<"):
        assert words in content


def test_a_course_without_a_scheme_says_so(client):
    section = make_section(make_course("IRON-9"))
    client.force_login(make_staff("dora", course=section.course))

    answer = client.get(reverse("grading", args=[section.pk]))

    assert answer.status_code == 422
    assert "has no grading scheme yet" in answer.content.decode()


@pytest.mark.parametrize(
    "name",
    ["grading", "grading-report", "grades-csv", "grades-xlsx", "grades-oneroster"],
)
def test_other_sections_grades_are_not_theirs(assistant, graded, name):
    section, _ = graded
    other = make_section(section.course, "B1")

    assert assistant.get(reverse(name, args=[other.pk])).status_code == 404


@pytest.mark.parametrize("name", ["grading-scheme", "allowances"])
def test_pages_of_the_course_are_for_its_coordinator(assistant, graded, name):
    section, _ = graded

    assert assistant.get(reverse(name, args=[section.course.code])).status_code == 404


# ------------------------------------------------------------- scheme, allowances


def scheme_form_of(client, course):
    content = page(client, "grading-scheme", course.code)
    fields = dict(re.findall(r'<input id="([^"]+)" name="\1" value="([^"]*)"', content))
    fields |= dict(
        re.findall(r'<textarea id="([^"]+)"[^>]*>([^<]*)</textarea>', content)
    )
    for name, options in re.findall(
        r'<select id="([^"]+)"[^>]*>(.*?)</select>', content, re.DOTALL
    ):
        fields[name] = re.search(r'value="([^"]*)" selected', options)[1]
    return fields


def test_a_scheme_is_previewed_then_adopted(coordinator, graded):
    section, _ = graded
    fields = scheme_form_of(coordinator, section.course)
    fields["worked_answer-points"] = "3"
    code = section.course.code

    before = list(Grade.objects.order_by("pk").values())
    shown = press(coordinator, "grading-scheme", code, preview="1", **fields)
    untouched = list(Grade.objects.order_by("pk").values()) == before
    adopted = press(coordinator, "grading-scheme", code, adopt="1", seen="1", **fields)

    assert "Three of three groups would move; nobody is affected yet" in (
        shown.content.decode()
    )
    assert untouched
    assert adopted.status_code == 302
    assert {grade.max_points for grade in Grade.objects.all()} == {18}
    assert GradingScheme.objects.count() == 2


def test_an_unchanged_form_is_the_scheme_in_force(coordinator, graded):
    section, _ = graded
    fields = scheme_form_of(coordinator, section.course)

    press(coordinator, "grading-scheme", section.course.code, adopt="1", **fields)

    assert GradingScheme.objects.count() == 1


def test_what_needs_mending_stands_at_its_box(coordinator, graded):
    section, _ = graded
    fields = scheme_form_of(coordinator, section.course)
    fields |= {"accuracy-knots": "1 10\n3 11\n5 2", "lateness-grace_min": "soon"}

    answer = press(
        coordinator, "grading-scheme", section.course.code, preview="1", **fields
    )

    content = answer.content.decode()
    assert answer.status_code == 422
    assert "Two things need mending" in content
    assert "Line 2: The part has 10 points; a knot cannot give more." in content
    assert 'aria-describedby="lateness-grace_min-problem"' in content


def test_a_scheme_adopted_meanwhile_is_not_overwritten(coordinator, graded):
    section, _ = graded
    code = section.course.code
    fields = scheme_form_of(coordinator, section.course)
    first = fields | {"completeness-points": "2"}
    second = fields | {"completeness-points": "1"}
    press(coordinator, "grading-scheme", code, adopt="1", seen="1", **first)

    answer = press(coordinator, "grading-scheme", code, adopt="1", seen="1", **second)

    assert answer.status_code == 409
    assert "Version 2 was adopted meanwhile" in answer.content.decode()


def test_an_allowance_is_previewed_then_granted_and_its_list_kept(coordinator, graded):
    section, groups = graded
    code = section.course.code
    form = {
        "target": f"section:{section.pk}",
        "kind": "full_accuracy",
        "reason": "the stills ran dry",
    }

    shown = press(coordinator, "allowances", code, preview="1", **form)
    mark = re.search(r'name="seen" value="(\w+)"', shown.content.decode())[1]
    granted = press(coordinator, "allowances", code, grant="1", seen=mark, **form)

    assert "One of three groups would gain; nobody is affected yet" in (
        shown.content.decode()
    )
    assert granted.status_code == 302
    assert grade_of(groups[2]).suggested_points == 18
    assert Allowance.objects.get().changes == [
        {
            "section": "A1",
            "group": "3",
            "before": "12.00",
            "after": "18.00",
            "waits": False,
        }
    ]
    assert "the stills ran dry" in page(coordinator, "allowances", code)


@pytest.mark.parametrize(
    ("changes", "status", "words"),
    [
        ({"target": "lot:0"}, 422, "Choose a lot"),
        ({"kind": "widen"}, 422, "Write the percent"),
        ({"kind": "double"}, 422, "Choose what the allowance does"),
        ({"grant": "1", "seen": "other"}, 409, "not the one you looked at"),
        ({"grant": "1", "reason": ""}, 422, "Write the reason"),
    ],
)
def test_an_allowance_that_cannot_be_granted(
    coordinator, graded, changes, status, words
):
    section, _ = graded
    form = {"target": f"section:{section.pk}", "kind": "leave_out", "reason": "why"}

    answer = press(coordinator, "allowances", section.course.code, **form | changes)

    assert answer.status_code == status
    assert words in answer.content.decode()
    assert not Allowance.objects.exists()


# ------------------------------------------------------------------------- files


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
