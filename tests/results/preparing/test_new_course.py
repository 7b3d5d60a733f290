"""Making a course: who may, from what, and what comes along."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from results.models import (
    AssignedValue,
    Course,
    Duty,
    DutyNote,
    Group,
    StationNote,
    Student,
    Vial,
)
from results.policy.preparing_refusals import CourseChanged, MayNotMakeCourses
from results.policy.refusals import NotAdmitted, NotFound
from results.rosters import Like, NewCourse, begin_course, coordinate_alone, copy_course
from results.summaries.preparing.courses import copy_plan
from tests.factories import (
    NOW,
    actor,
    make_bench,
    make_course,
    make_grading,
    make_staff,
    make_station,
)

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("UTC")
STARTS = date(2026, 3, 2)


@pytest.fixture
def ada():
    """The coordinator of last term's course, which has everything."""
    bench = make_bench(iron_shown="on_release", error_shown=True)
    bench.section.opens_at = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)
    bench.section.due_at = datetime(2025, 3, 11, 14, 0, tzinfo=UTC)
    bench.section.save()
    Student.objects.create(course=bench.course, section=bench.section, name="Mo")
    make_station(bench.course, "5", in_service=False, note="lamp flickers", step=1)
    make_grading(bench.course)
    return actor(make_staff("ada"))


def like(person, *, lots=False, seen=None):
    plan = copy_plan(
        "IRON-1", starts=STARTS, lots=lots, rights=person.rights, now=NOW, zone=ZONE
    )
    mark = plan.mark if seen is None else seen
    return Like(course="IRON-1", starts=STARTS, lots=lots, seen=mark, zone=ZONE)


def begin(person, code="IRON-2", **fields):
    begin_course(NewCourse(code), actor=person, now=NOW, **{"like": None, **fields})
    return Course.objects.get(code=code)


def test_whoever_makes_a_course_coordinates_it(ada):
    course = begin(ada)

    (duty,) = Duty.objects.filter(course=course)
    assert (duty.user_id, duty.role) == (ada.user_id, "coordinator")
    assert course.title == "IRON-2"


def test_last_terms_course_gives_all_that_is_not_of_people(ada):
    course = begin(ada, like=like(ada))

    assert (
        course.protocols.get().document
        == Course.objects.get(code="IRON-1").protocols.get().document
    )
    assert course.grading_schemes.get().version == 1
    assert (course.iron_shown, course.error_shown) == ("on_release", True)
    assert {(s.code, s.step) for s in course.stations.all()} == {("4", 0.5), ("5", 1)}
    assert not Group.objects.filter(section__course=course).exists()
    assert not Student.objects.filter(course=course).exists()
    assert not Vial.objects.filter(course=course).exists()
    assert not course.lots.exists()


def test_times_move_by_whole_weeks(ada):
    (section,) = begin(ada, like=like(ada)).sections.all()

    # 4 March 2025 and 3 March 2026 are Tuesdays.
    assert section.opens_at == datetime(2026, 3, 3, 14, 0, tzinfo=UTC)
    assert section.due_at - section.opens_at == timedelta(days=7)
    assert section.released_at is None


def test_a_station_out_of_service_stays_so_on_the_word_of_who_copied(ada):
    course = begin(ada, like=like(ada))

    station = course.stations.get(code="5")
    assert (station.in_service, station.note) == (False, "lamp flickers")
    assert StationNote.objects.get(station=station).by_name == "ada"


def test_lots_come_along_when_asked_for_with_their_present_values(ada):
    course = begin(ada, like=like(ada, lots=True))

    (value,) = AssignedValue.objects.filter(lot__course=course)
    assert (value.lot.code, value.iron_percent) == ("L1", 12.0)
    assert value.reason == "as in course IRON-1"


@pytest.mark.parametrize("code", ["IRON-1", "iron-1", "new", "NEW", "iron 2", ""])
def test_a_code_that_is_taken_or_none_is_refused(ada, code):
    with pytest.raises(NotAdmitted) as caught:
        begin(ada, code)

    assert caught.value.problems[0].where == ("code",)
    assert Course.objects.count() == 1


def test_nothing_is_copied_that_was_not_looked_at(ada):
    with pytest.raises(CourseChanged):
        begin(ada, like=like(ada, seen="another"))

    assert Course.objects.count() == 1


def test_a_course_of_somebody_else_gives_nothing(ada):
    make_course("THEIRS")
    theirs = Like(course="THEIRS", starts=STARTS, lots=True, seen=None, zone=ZONE)

    with pytest.raises(NotFound):
        begin(ada, like=theirs)

    assert not Course.objects.filter(code="IRON-2").exists()


@pytest.mark.parametrize("role", ["assistant", None])
def test_who_coordinates_nothing_makes_no_course(ada, role):
    with pytest.raises(MayNotMakeCourses):
        begin(actor(make_staff("ben", role=role)))


def test_who_keeps_the_site_makes_courses_and_takes_over_lonely_ones(ada):
    user = make_staff("kim", role=None)
    user.is_staff = True
    user.save()
    kim = actor(user)

    begin(kim)
    make_course("LONELY")
    coordinate_alone("LONELY", actor=kim, now=NOW)

    assert Duty.objects.filter(user=user, role="coordinator").count() == 2
    assert DutyNote.objects.filter(deed="given", by=user).count() == 2
    with pytest.raises(NotFound):
        coordinate_alone("IRON-1", actor=kim, now=NOW)


def test_a_coordinator_takes_over_no_lonely_course(ada):
    make_course("LONELY")

    with pytest.raises(NotFound):
        coordinate_alone("LONELY", actor=ada, now=NOW)


def test_a_command_copies_without_anybody_who_coordinates(ada):
    other = Like(course="IRON-1", starts=STARTS, lots=False, seen=None, zone=ZONE)

    plan = copy_course(NewCourse("IRON-2"), like=other, now=NOW)

    assert (plan.weeks, plan.out_of_service) == (52, ("5",))
    assert not Duty.objects.filter(course__code="IRON-2").exists()
    assert not Course.objects.get(code="IRON-2").stations.get(code="5").in_service


def test_a_day_beyond_all_calendars_is_refused(ada):
    with pytest.raises(NotAdmitted) as caught:
        copy_plan(
            "IRON-1",
            starts=date(9999, 12, 31),
            lots=False,
            rights=ada.rights,
            now=NOW,
            zone=ZONE,
        )

    assert caught.value.problems[0].where == ("starts",)
