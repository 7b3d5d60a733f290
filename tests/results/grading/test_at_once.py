"""Two who grade at once: nothing is overwritten, nothing is done twice."""

import pytest

from results import grading
from results.models import Grade, GradeEvent, Submission
from results.policy.marking.refusals import CannotGrade, StaleGrade
from results.recompute import enqueue
from tests.at_once import together
from tests.factories import NOW, actor, make_staff, raw_submission, submit, worked_off
from tests.results.grading.classes import OWN, make_graded, versions

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def graded():
    section, groups = make_graded(4, 0)
    ben = actor(make_staff("ben", role="assistant", section=section))
    cleo = actor(make_staff("cleo", role="assistant", section=section))
    return section, groups, ben, cleo


def test_two_people_setting_one_grade_at_once_one_is_told(graded):
    _, groups, ben, cleo = graded

    def sets(who, points):
        return lambda: grading.override_grade(
            groups[0].pk, points=points, reason="seen", seen=0, actor=who, now=NOW
        )

    came = together(sets(ben, "17"), sets(cleo, "18"))

    assert sorted(map(str, came)) == sorted(map(str, [None, StaleGrade]))
    grade = Grade.objects.get(group=groups[0])
    (event,) = GradeEvent.objects.filter(grade=grade)
    assert (event.after, grade.version) == (grade.final_points, 1)


def test_two_releases_at_once_release_each_grade_once(graded):
    section, groups, ben, cleo = graded
    seen = versions(section)
    grading.accept_unflagged(section.pk, seen=seen, actor=ben, now=NOW)
    seen = versions(section)

    def releases(who):
        return lambda: (
            grading.release_section(section.pk, seen=seen, actor=who, now=NOW).n_grades
        )

    assert sorted(together(releases(ben), releases(cleo))) == [0, 4]
    assert GradeEvent.objects.filter(kind="released").count() == len(groups)


def test_two_people_accepting_at_once_accept_each_grade_once(graded):
    section, groups, ben, cleo = graded
    seen = versions(section)

    def accepts(who):
        return lambda: len(
            grading.accept_unflagged(section.pk, seen=seen, actor=who, now=NOW).groups
        )

    assert sorted(together(accepts(ben), accepts(cleo))) == [0, 4]
    assert GradeEvent.objects.filter(kind="accepted").count() == len(groups)


def test_a_release_while_a_recompute_runs_loses_no_grade(graded):
    section, groups, ben, _ = graded
    seen = versions(section)
    grading.accept_unflagged(section.pk, seen=seen, actor=ben, now=NOW)
    seen = versions(section)
    worse = raw_submission(percent_T={"3": 40.0, "U1": 50.0}, own=OWN)
    submit(groups[0], worse, key="worse")
    enqueue(Submission.objects.values_list("pk", flat=True), reason="x", now=NOW)

    def releases():
        return grading.release_section(
            section.pk, seen=seen, actor=ben, now=NOW
        ).n_grades

    released, computed = together(releases, worked_off)

    assert computed == 5
    grades = {grade.group_id: grade for grade in Grade.objects.all()}
    assert len(grades) == 4
    assert {int(grade.final_points) for grade in grades.values()} == {20}
    # Whoever was first: the change waits, and was released unseen by nobody.
    changed = grades[groups[0].pk]
    assert changed.proposed_points is not None
    assert GradeEvent.objects.filter(grade=changed, kind="proposed").count() == 1
    states = {grade.state for grade in grades.values()}
    if released in {StaleGrade, CannotGrade}:
        assert states == {"accepted"}
    else:
        assert (released, states) == (4, {"released"})


def test_grades_are_made_once_by_two_who_open_them_at_once(graded):
    _, groups, ben, cleo = graded
    Grade.objects.all().delete()

    def looks(who):
        return lambda: grading.mark_seen(groups[0].pk, seen=0, actor=who, now=NOW)

    together(looks(ben), looks(cleo))

    assert Grade.objects.filter(group=groups[0]).count() == 1
    assert GradeEvent.objects.filter(kind="seen").count() == 2
