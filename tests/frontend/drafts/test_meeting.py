"""Two phones type on one sheet: the later edit of a box stands."""

import pytest
from django.test import Client
from django.urls import reverse

from results.models import Answer, DraftEdit, Submission
from tests.factories import make_group, slip_code, worked_off
from tests.frontend.benches import sign_in
from tests.frontend.draft_messages import (
    LOCK,
    NOW_MS,
    PHONES,
    SAVEPOINT,
    URL,
    typed,
)

pytestmark = pytest.mark.django_db


def test_two_phones_meet_and_the_later_edit_stands(client, bench):
    typed(client, "value/3/1", "44", ago_s=60, phone=PHONES[1])
    answer = typed(client, "value/3/1", "43,5", ago_s=300).json()

    box = answer["boxes"]["value/3/1"]
    assert (box["value"], box["phone"]) == ("44", PHONES[1])
    assert [(one["value"], one["phone"]) for one in box["earlier"]] == [
        ("43,5", PHONES[0])
    ]


def test_a_fast_clock_does_not_win(client, bench):
    typed(client, "value/3/1", "43", ago_s=600, skew_ms=3 * 3_600_000)
    answer = typed(client, "value/3/1", "44", ago_s=60, phone=PHONES[1]).json()

    assert answer["boxes"]["value/3/1"]["value"] == "44"


def test_an_edit_of_a_broken_clock_is_overtaken(client, bench, time_machine):
    typed(client, "value/3/1", "43", ago_s=-1_000_000_000)
    time_machine.shift(5)
    answer = typed(client, "value/3/1", "44", skew_ms=5000, phone=PHONES[1]).json()

    assert answer["boxes"]["value/3/1"]["value"] == "44"


def test_nothing_is_answered_while_nothing_changed(client, bench):
    seen = typed(client, "station", "4").json()["seen"]

    unchanged = client.get(URL, {"seen": seen})
    typed(client, "station", "5", phone=PHONES[1])
    changed = client.get(URL, {"seen": seen})

    assert (unchanged.status_code, unchanged.content) == (204, b"")
    assert changed.json()["boxes"]["station"]["value"] == "5"


def test_a_repeated_message_changes_nothing(client, bench):
    marks = {typed(client, "station", "4").json()["seen"] for _ in range(2)}

    assert len(marks) == 1
    assert DraftEdit.objects.count() == 1


def test_what_was_typed_stands_on_every_page_of_the_sheet(client, bench):
    typed(client, "value/U1/1", "43,5")
    typed(client, "left_out/2", "1")

    content = client.get(reverse("bench-sheet")).content

    assert b'value="43,5"' in content
    assert b'name="left_out" value="2" checked' in content


def test_a_draft_is_computed_and_graded_by_nobody(client, bench):
    typed(client, "value/3/1", "43,5")

    worked_off()

    assert Submission.objects.count() == Answer.objects.count() == 0


def test_a_group_sees_its_own_draft_only(client, bench):
    make_group(bench.section, "2", slip=slip_code(2))
    other = Client()
    sign_in(other, 2)
    typed(client, "station", "4")

    assert other.get(URL).json()["boxes"] == {}


@pytest.mark.parametrize("n_boxes", [1, 100])
def test_typing_takes_few_queries_for_one_box_as_for_many(
    client, bench, n_boxes, django_assert_num_queries
):
    edits = [
        {"field": f"box-{n}", "value": "1", "stamp_ms": NOW_MS} for n in range(n_boxes)
    ]
    typed(client, "station", "4")

    # What phones send most often: a whole course types within minutes. Session, who
    # is at the door, the draft with its edits, the submission that may have them
    # already; stored are the draft's version and new edits.
    with django_assert_num_queries(LOCK + 4 + 2 + SAVEPOINT):
        typed(client, "", "", edits=edits)
    with django_assert_num_queries(LOCK + 3 + SAVEPOINT):
        typed(client, "", "", edits=edits)


def test_the_first_box_takes_no_more_queries(client, bench, django_assert_num_queries):
    with django_assert_num_queries(LOCK + 4 + 2 + SAVEPOINT):
        typed(client, "station", "4")


def test_a_phone_that_looks_takes_two_queries(client, bench, django_assert_num_queries):
    seen = typed(client, "station", "4").json()["seen"]

    with django_assert_num_queries(2):
        assert client.get(URL, {"seen": seen}).status_code == 204
    with django_assert_num_queries(3):
        assert client.get(URL, {"seen": ""}).status_code == 200
