"""Filling groups: previewed, then carried out as shown."""

from datetime import timedelta

import pytest

from results.models import Group, Issue, Membership, Section, Student, Submission
from results.policy.roster.filling import Order, Wish
from results.policy.roster.refusals import RosterChanged
from results.rosters import fill_groups
from results.summaries.preparing.groups import course_groups, filling_preview
from tests.factories import NOW
from tests.results.roster.courses import (
    at_the_bench,
    enter,
    make_rostered,
    places,
)

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=2)


@pytest.fixture
def course():
    course = make_rostered().course
    section = course.sections.get(code="A2")
    for n, name in enumerate(["Una", "Ben", "Zoe", "Kai", "Ada"]):
        enter(name, f"x{n}", section)
    return course


def filled(course, who, wish, *, section_id=None, seen=None, now=LATER):
    if seen is None:
        seen = filling_preview(
            course.code, wish, rights=who.rights, section_id=section_id
        ).mark
    return fill_groups(
        course.code, wish, section_id=section_id, seen=seen, actor=who, now=now
    )


def test_everybody_without_a_group_gets_one(course, ada):
    filled(course, ada, Wish())

    assert places() == {
        "Ivo Marsh": "A1 1",
        "Ida Reed": "A1 1",
        "Eva Voss": "A1 2",
        "Ada": "A2 1",
        "Ben": "A2 1",
        "Kai": "A2 2",
        "Una": "A2 2",
        "Zoe": "A2 2",
    }
    groups = Group.objects.filter(section__code="A2")
    assert sorted(groups.values_list("code", "place")) == [("1", 1), ("2", 2)]


def test_only_the_section_that_is_named_is_filled(course, ada):
    filled(course, ada, Wish(), section_id=course.sections.get(code="A1").pk)

    assert places()["Ada"] == "A2 -"


def test_what_was_shown_is_what_is_done_at_random_too(course, ada):
    wish = Wish(order=Order.RANDOM, seed=11)
    shown = filling_preview(course.code, wish, rights=ada.rights, section_id=None)

    filled(course, ada, wish)

    for filling in shown.fillings:
        for group in filling.groups:
            members = Student.objects.filter(
                section=filling.section_id, group__code=group.code
            )
            assert {one.pk for one in members} == {seat.pk for seat in group.members}


def test_filling_touches_no_vial_slip_or_submission(course, ada):
    before = at_the_bench()
    enter("Late", "y", course.sections.get(code="A1"))

    filled(course, ada, Wish())
    filled(course, ada, Wish(anew=True))

    groups, issues, submissions = before
    assert set(groups) <= set(at_the_bench()[0])
    assert (
        sorted(Issue.objects.values_list()),
        sorted(Submission.objects.values_list()),
    ) == (issues, submissions)


def test_whoever_changed_section_together_stays_together(course, ada):
    section = course.sections.get(code="A2")
    for name in ("Ivo Marsh", "Ida Reed"):
        student = Student.objects.get(name=name)
        student.memberships.update(until=NOW)
        student.section, student.group = section, None
        student.save()

    filled(course, ada, Wish(order=Order.TOGETHER))

    assert places()["Ivo Marsh"] == places()["Ida Reed"] == "A2 1"


def test_a_section_with_submissions_is_not_made_anew(course, ada):
    filled(course, ada, Wish())
    Student.objects.filter(name="Ada").update(name="Zzz")

    shown = filled(course, ada, Wish(anew=True))

    assert places()["Ivo Marsh"] == "A1 1"
    assert places()["Zzz"] == "A2 2"
    assert "has submissions" in shown[0].refused
    ended = Membership.objects.get(student__name="Zzz", until__isnull=False)
    assert (ended.group.code, ended.until) == ("1", LATER)


@pytest.mark.parametrize(
    "change",
    [
        lambda: enter("Late", "y", Section.objects.get(code="A2")),
        lambda: Group.objects.create(section=Section.objects.get(code="A2"), code="9"),
    ],
    ids=["a person", "a group"],
)
def test_what_changed_since_the_preview_stops_it(course, ada, change):
    seen = filling_preview(course.code, Wish(), rights=ada.rights, section_id=None).mark
    change()

    with pytest.raises(RosterChanged):
        filled(course, ada, Wish(), seen=seen)

    assert places()["Ada"] == "A2 -"


def test_another_wish_than_the_one_shown_is_not_carried_out(course, ada):
    seen = filling_preview(course.code, Wish(), rights=ada.rights, section_id=None).mark

    with pytest.raises(RosterChanged):
        filled(course, ada, Wish(size=3), seen=seen)


def test_the_section_with_people_in_no_group_is_shown_first(course, ada):
    assert course_groups(course.code, rights=ada.rights).shown.section == "A2"
