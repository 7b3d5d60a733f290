"""A roster is carried out as it was listed: all of it, or nothing."""

from datetime import timedelta
from io import BytesIO
from zipfile import ZipFile

import pytest
from django.db import OperationalError, connection

from results.exports import course_package, oneroster_package
from results.models import Group, Membership, Section, Student
from results.policy.refusals import NotAdmitted, NotFound
from results.policy.roster.matching import Outside
from results.policy.roster.refusals import NotARoster, RosterChanged
from results.summaries.preparing.rosters import roster_preview
from tests.factories import (
    NOW,
    actor,
    make_course,
    make_grading,
    make_group,
    make_staff,
)
from tests.results.roster.courses import (
    at_the_bench,
    bring,
    enter,
    grid_of,
    matching_of,
    places,
)

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=2)


def test_everything_that_was_listed_is_done_and_nothing_else(course, ada):
    rows = ("Ivo Marsh,0,A2,", "Ida Reed-Voss,1,A1,", "New Birk,9,A2,7")
    grid = grid_of(*rows)
    matching = matching_of(grid, whole=True)
    listed = roster_preview(course.code, grid, matching, rights=ada.rights).reading.plan

    done = bring(course, ada, *rows, whole=True)

    assert done.lines == listed.lines
    assert places() == {
        "Ivo Marsh": "A2 -",
        "Ida Reed-Voss": "A1 1",
        "Eva Voss": "left",
        "New Birk": "A2 7",
    }


def test_who_changes_section_leaves_the_group_whose_work_stays(course, ada):
    student = Student.objects.get(name="Ivo Marsh")
    group = student.group

    bring(course, ada, "Ivo Marsh,0,A2,", now=LATER)

    membership = student.memberships.get()
    assert (membership.group, membership.until) == (group, LATER)
    assert group.submissions.count() == 1
    assert group.issues.live().count() == 1


def test_no_roster_touches_a_vial_a_slip_or_a_submission(course, ada):
    before = at_the_bench()

    bring(course, ada, "Ivo Marsh,0,A2,", "New Birk,9,A1,2", whole=True)
    bring(course, ada, "Ivo Marsh,0,A1,1", "Eva Voss,2,A1,", "Ida Reed,1,A2,")

    assert at_the_bench() == before


def test_who_joins_a_group_is_a_member_from_now_on(course, ada):
    bring(course, ada, "New Birk,9,A1,2", "Ivo Marsh,0,A1,2", now=LATER)

    live = Membership.objects.filter(until__isnull=True, since=LATER)
    assert {one.student.name for one in live} == {"New Birk", "Ivo Marsh"}
    assert {one.group.code for one in live} == {"2"}


def test_who_comes_back_has_the_former_record_and_no_group(course, ada):
    pk = Student.objects.get(name="Eva Voss").pk
    bring(course, ada, "Ivo Marsh,0,A1,", "Ida Reed,1,A1,", whole=True)

    bring(course, ada, "Eva Voss,2,A2,")

    assert places()["Eva Voss"] == "A2 -"
    assert Student.objects.get(name="Eva Voss").pk == pk


def test_missing_sections_and_groups_are_made_once_with_their_places(course, ada):
    rows = ("New Birk,9,B1,1", "Old Birk,8,B1,2", "Odd Birk,7,B1,2")

    bring(course, ada, *rows, outside=Outside.MAKE)

    groups = Group.objects.filter(section=Section.objects.get(code="B1"))
    assert sorted(groups.values_list("code", "place")) == [("1", 1), ("2", 2)]
    assert places()["Odd Birk"] == "B1 2"


def test_the_same_list_a_second_time_is_refused_and_changes_nothing(course, ada):
    grid = grid_of("Ivo Marsh,0,A2,")
    mark = roster_preview(course.code, grid, matching_of(grid), rights=ada.rights).mark
    bring(course, ada, "Ivo Marsh,0,A2,", seen=mark)
    before = places(), Membership.objects.count()

    with pytest.raises(RosterChanged):
        bring(course, ada, "Ivo Marsh,0,A2,", seen=mark)

    assert (places(), Membership.objects.count()) == before


@pytest.mark.parametrize(
    "change",
    [
        lambda course: enter("New Birk", "9", course.sections.first()),
        lambda course: course.students.filter(number="0").update(name="Iv"),
        lambda course: make_group(course.sections.first(), "9"),
        lambda course: Section.objects.create(course=course, code="Z"),
    ],
    ids=["a person", "a name", "a group", "a section"],
)
def test_what_changed_since_the_list_was_made_stops_it(course, ada, change):
    grid = grid_of("Eva Voss,2,A2,")
    seen = roster_preview(course.code, grid, matching_of(grid), rights=ada.rights).mark
    change(course)

    with pytest.raises(RosterChanged):
        bring(course, ada, "Eva Voss,2,A2,", seen=seen)

    assert places()["Eva Voss"] == "A1 2"


@pytest.mark.parametrize("row", [",8,A1,", "New Birk,9,A2,", "Old Birk,8,Q9,"])
def test_one_row_that_needs_mending_keeps_all_of_them_out(course, ada, row):
    before = places()

    with pytest.raises(NotARoster):
        bring(course, ada, "New Birk,9,A1,", row)

    assert places() == before


def test_a_roster_without_its_columns_is_refused(course, ada):
    with pytest.raises(NotAdmitted):
        bring(course, ada, "x,y", head="a,b")


def test_a_database_that_fails_at_the_last_write_leaves_nothing_done(course, ada):
    before = places(), Group.objects.count()

    def failing(execute, sql, *rest):
        if sql.startswith('INSERT INTO "results_membership"'):
            raise OperationalError
        return execute(sql, *rest)

    with connection.execute_wrapper(failing), pytest.raises(OperationalError):
        bring(course, ada, "Eva Voss,2,A2,", "Old Birk,8,A1,", "New Birk,9,A1,7")

    assert (places(), Group.objects.count()) == before


@pytest.mark.parametrize("role", ["assistant", None])
def test_only_who_coordinates_the_course_sees_or_changes_its_people(course, role):
    ben = actor(make_staff("ben", role=role, section=course.sections.first()))

    with pytest.raises(NotFound):
        bring(course, ben, "New Birk,9,A1,")
    with pytest.raises(NotFound):
        bring(course, ben, "New Birk,9,A1,", seen="")


def test_people_of_another_course_are_nobodys_business(course, ada):
    other = make_course("IRON-2")
    enter("Ivo Marsh", "0", other.sections.create(code="A1"))

    bring(course, ada, "Ivo Marsh,0,A2,", whole=True)

    assert Student.objects.get(course=other).left_at is None


def test_a_name_that_would_be_a_formula_leaves_as_text(course, ada):
    bring(course, ada, "=1+1,9,A1,1")
    make_grading(course)
    section = course.sections.get(code="A1")

    bundle = oneroster_package(section.pk, rights=ada.rights, now=NOW)
    package = course_package(course.code, names=True, now=NOW)

    for content, file in ((bundle, "results.csv"), (package, "students.csv")):
        text = ZipFile(BytesIO(content)).read(file).decode()
        assert "'=1+1" in text
        assert ",=1+1" not in text
