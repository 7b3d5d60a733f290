"""The page on which a section is graded, and the history of a grade."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import make_course, make_section, make_staff
from tests.frontend.graded import accept_all, page, press, seen
from tests.results.grading.classes import grade_of

pytestmark = pytest.mark.django_db


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
