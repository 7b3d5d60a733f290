"""Pages on which a course sets its scheme and grants allowances."""

import re

import pytest

from results.models import Allowance, Grade, GradingScheme
from tests.frontend.graded import page, press
from tests.results.grading.classes import grade_of

pytestmark = pytest.mark.django_db


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
