"""People are erased, results stay."""

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from results import grading
from results.exports import answer_rows
from results.models import Grade, GradeEvent, Group, Issue, RecheckRequest, Student
from results.models.append_only import let_erase
from results.policy.refusals import NotFound
from results.rosters import forget_people, forget_student, join_group
from tests.factories import NOW, actor, make_group, make_staff
from tests.results.grading.classes import make_graded, versions

pytestmark = pytest.mark.django_db
NAME = "Priya Arden"
SECRET = "Please ask Priya about her burette"


@pytest.fixture
def graded():
    """A released section, with a name and a text that names somebody."""
    section, groups = make_graded(2)
    join_group(groups[0], [NAME, "Ivo Marsh"], since=NOW)
    ada = actor(make_staff("ada"))
    for act in (grading.accept_grades, grading.release_section):
        act(section.pk, seen=versions(section), actor=ada, now=NOW)
    grading.ask_for_recheck(groups[0].pk, text=SECRET, now=NOW)
    Grade.objects.update(comment=SECRET, reason=SECRET)
    Issue.objects.update(reason=SECRET)
    return section


def whole_database():
    """Every text of every table."""
    with connection.cursor() as cursor:
        texts = []
        for table in connection.introspection.table_names(cursor):
            quoted = connection.ops.quote_name(table)
            cursor.execute(f"SELECT * FROM {quoted}")  # noqa: S608 - its own name
            texts += [str(value) for row in cursor.fetchall() for value in row]
    return "\n".join(texts)


def test_nothing_of_a_person_is_left_and_answers_are(graded):
    answers = list(answer_rows(graded.course.code))
    assert NAME in whole_database()
    assert SECRET in whole_database()

    done = forget_people(graded.course.code)

    left = whole_database()
    assert done.n_students == Student.objects.count()
    assert NAME not in left
    assert SECRET not in left
    assert list(answer_rows(graded.course.code)) == answers
    assert RecheckRequest.objects.get().grade.final_points is not None


def test_history_is_kept_from_changes_afterwards(graded):
    forget_people(graded.course.code)

    with pytest.raises(Exception, match="append_only"), connection.cursor() as cursor:
        cursor.execute("UPDATE results_gradeevent SET why = 'nicer'")


def test_history_is_kept_again_where_erasing_failed(graded):
    with pytest.raises(ZeroDivisionError), let_erase("results_gradeevent"):
        raise ZeroDivisionError

    with pytest.raises(Exception, match="append_only"), connection.cursor() as cursor:
        cursor.execute("UPDATE results_gradeevent SET why = 'nicer'")


def test_slips_of_a_course_that_is_over_sign_nobody_in(graded):
    forget_people(graded.course.code)

    assert not Group.objects.exclude(slip_digest=None).exists()


def test_one_person_is_erased_by_number_and_the_other_stays():
    group = make_group()
    join_group(group, [NAME, "Ivo Marsh"], since=NOW)
    Student.objects.filter(name=NAME).update(number="S-17")

    forget_student(group.section.course.code, "S-17")

    names = set(group.students.values_list("name", flat=True))
    assert NAME not in names
    assert "Ivo Marsh" in names
    assert len(names) == 2


def test_two_people_of_one_name_need_their_numbers():
    first = make_group(students=(NAME,))
    make_group(first.section, "2", students=(NAME,))

    with pytest.raises(NotFound, match="give the number"):
        forget_student(first.section.course.code, NAME)

    assert Student.objects.filter(name=NAME).count() == 2


def test_the_command_asks_whom(graded):
    with pytest.raises(CommandError, match="Say whom"):
        call_command("forget_people", graded.course.code)


def test_erasing_twice_changes_nothing_more(graded):
    forget_people(graded.course.code)

    assert forget_people(graded.course.code).n_texts == 0
    assert GradeEvent.objects.exists()
