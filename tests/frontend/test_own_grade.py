"""What a group reads of its grade: not a byte before the release."""

import re
from datetime import UTC, datetime

import pytest
import time_machine
from django.db import transaction
from django.test import Client
from django.urls import reverse

from results import grading
from results.models import Grade
from tests import factories
from tests.factories import NOW, actor, make_staff
from tests.frontend.benches import sign_in
from tests.languages import OPEN, outside_brackets, speak_brackets
from tests.results.grading.classes import grade_of, make_graded, versions

AT = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db


def accepted_page(*, assigned, graded=True):
    """The page of a group whose grade is accepted, in a class that is gone afterwards.

    The class's lot has this assigned value; without `graded` there are no grades.
    """
    with time_machine.travel(AT, tick=False), transaction.atomic():
        bench = factories.make_bench(slip=factories.slip_code(), iron_percent=assigned)
        if graded:
            factories.make_grading(bench.course)
        raw = factories.raw_submission(percent_T={"3": 61.0})
        factories.submit(bench.group, raw)
        factories.worked_off()
        if graded:
            _accept(bench)
        client = Client()
        sign_in(client)
        answers = [
            client.get(reverse("bench-result-current")),
            client.post(reverse("recheck-ask"), {"text": "Please look again."}),
        ]
        transaction.set_rollback(True)
    # Tokens against forged forms and keys of forms are drawn anew for each page.
    drawn = rb'name="(?:csrfmiddlewaretoken|key)" value="[\w-]+"'
    return [
        (answer.status_code, re.sub(drawn, b"", answer.content)) for answer in answers
    ]


def _accept(bench):
    ada = actor(make_staff("ada", course=bench.course))
    seen = versions(bench.section)
    if Grade.objects.get().suggested_points is None:
        grading.override_grade(
            bench.group.pk, points="9", reason="page", seen=0, actor=ada, now=AT
        )
    else:
        grading.accept_grades(bench.section.pk, seen=seen, actor=ada, now=AT)


def test_before_the_release_a_page_is_what_it_is_without_any_grade():
    near = accepted_page(assigned=12.0)
    far = accepted_page(assigned=17.31)
    none = accepted_page(assigned=None)
    ungraded = accepted_page(assigned=12.0, graded=False)

    assert near == far == none == ungraded
    assert [status for status, _ in near] == [200, 422]


@pytest.fixture
def released():
    section, groups = make_graded(0, 1)
    ada = actor(make_staff("ada", course=section.course))
    seen = versions(section)
    grading.accept_grades(section.pk, seen=seen, actor=ada, now=NOW)
    seen = versions(section)
    grading.release_section(section.pk, seen=seen, actor=ada, now=NOW)
    return section, groups[0], ada


def own_page(client):
    sign_in(client)
    return client.get(reverse("bench-result-current")).content.decode()


def test_after_the_release_points_and_reasons_stand_with_losses_apart(client, released):
    content = own_page(client)

    assert "Your grade: 12 of 20 points" in content
    assert "4 of 10 points for closeness" in content
    assert re.search(r"lost at the bench</dt><dd[^>]*>6<", content)
    assert re.search(r"lost on paper</dt><dd[^>]*>2<", content)


def test_how_far_off_is_told_only_where_the_course_says_so(client, released):
    section, *_ = released
    closed = own_page(client)
    section.course.error_shown = True
    section.course.save()

    shown = own_page(client)

    assert "from the assigned value" not in closed
    assert "10.22 % from the assigned value" in shown


def test_what_a_person_set_by_hand_is_said_with_its_difference(client, released):
    _, group, ada = released
    version = grade_of(group).version
    grading.override_grade(
        group.pk, points="15", reason="staff only", seen=version, actor=ada, now=NOW
    )

    content = own_page(client)

    assert "Your grade: 15 of 20 points" in content
    assert re.search(r"set by hand</dt><dd[^>]*>\+3<", content)
    assert "staff only" not in content


def test_after_an_undone_release_nothing_is_left_to_read(client, released):
    section, _, ada = released
    grading.undo_release(section.pk, actor=ada, now=NOW)

    assert "Your grade" not in own_page(client)


def german_block(client):
    sign_in(client)
    page = client.get(
        reverse("bench-result-current"), headers={"Accept-Language": "de"}
    ).content.decode()
    return re.search(r'<section id="grade".*?</section>', page, re.DOTALL)[0]


def test_a_grade_is_read_in_the_groups_language(client, released):
    block = german_block(client)

    assert "Eure Bewertung: 12 von 20 Punkten" in block
    assert "4 von 10 Punkten für die Nähe" in block
    assert "streuen um 0,00 %" in block


def test_no_english_is_left_around_a_grade(client, released, settings, tmp_path):
    _, group, ada = released
    grading.ask_for_recheck(group.pk, text="17", now=NOW)
    request = grade_of(group).rechecks.get()
    grading.answer_recheck(request.pk, answer="18", actor=ada, now=NOW)
    version = grade_of(group).version
    # What a person wrote stays as it was written.
    grading.comment_grade(group.pk, comment="19", seen=version, actor=ada, now=NOW)
    speak_brackets(settings, tmp_path)

    block = german_block(client)

    assert OPEN in block
    assert outside_brackets(block) == []
