"""What is sent of a sheet that phones type on, and what stays on it."""

import pytest
from django.urls import reverse

from tests.frontend.benches import typed_sheet
from tests.frontend.draft_messages import (
    LOCK,
    NOW_MS,
    PHONES,
    SAVEPOINT,
    URL,
    typed,
)

pytestmark = pytest.mark.django_db


def test_what_a_submission_has_is_no_draft_any_more(client, bench):
    typed(client, "standard_mass_g", "0,2100", phone=PHONES[1])
    typed(client, "standard_mass_g", "0,2000", ago_s=600)

    client.post(reverse("bench-sheet"), typed_sheet(standard_mass_g="0.21"))

    boxes = client.get(URL).json()["boxes"]
    assert boxes["standard_mass_g"]["sent"]
    assert boxes["standard_mass_g"]["earlier"] == []
    assert b"0,2000" not in client.get(reverse("bench-sheet")).content


def test_what_was_sent_without_reaching_the_sheet_is_on_it_for_the_other_phone(
    client, bench
):
    typed(client, "value/3/1", "61,5", phone=PHONES[1])

    client.post(reverse("bench-sheet"), typed_sheet(standard_mass_g="0,2150"))

    boxes = client.get(URL).json()["boxes"]
    mass = boxes["standard_mass_g"]
    assert (mass["value"], mass["sent"], mass["phone"]) == ("0.215", True, "")
    assert (boxes["value/3/1"]["value"], boxes["value/3/1"]["sent"]) == ("61,5", False)
    assert "own_slope" not in boxes


def test_what_came_too_late_for_a_submission_is_on_the_next_sheet(client, bench):
    typed(client, "value/3/1", "61,5", phone=PHONES[1])

    client.post(reverse("bench-sheet"), typed_sheet())
    content = client.get(reverse("bench-sheet")).content

    assert b"Send revision 2" in content
    assert b'value="61,5"' in content


@pytest.mark.parametrize("ago_s", [60, 0])
def test_what_arrives_after_the_sheet_that_has_it_is_sent(client, bench, ago_s):
    client.post(reverse("bench-sheet"), typed_sheet(standard_mass_g="0,2150"))

    typed(client, "standard_mass_g", "0.2150", ago_s=ago_s)
    boxes = typed(client, "unknown_mass_g", "0,3", ago_s=ago_s).json()["boxes"]

    assert boxes["standard_mass_g"]["sent"]
    assert not boxes["unknown_mass_g"]["sent"]


def sent_from(client, phone, pressed_ms, **boxes):
    sheet = typed_sheet(phone=phone, pressed_ms=str(pressed_ms), **boxes)
    assert client.post(reverse("bench-sheet"), sheet).status_code == 302
    return client.get(URL).json()["boxes"]


def test_what_a_phone_typed_over_before_it_sent_is_gone(client, bench):
    typed(client, "standard_mass_g", "0,3", ago_s=60, phone=PHONES[1])
    typed(client, "standard_mass_g", "0,2150", ago_s=30)

    boxes = sent_from(client, PHONES[0], NOW_MS - 10_000, standard_mass_g="0,2200")

    box = boxes["standard_mass_g"]
    assert (box["value"], box["sent"], box["earlier"]) == ("0.22", True, [])


@pytest.mark.parametrize(
    ("phone", "pressed_ms"),
    [
        (PHONES[1], NOW_MS),
        (PHONES[0], NOW_MS - 60_000),
        (PHONES[0], ""),
        (PHONES[0], "soon"),
        ("", NOW_MS),
    ],
    ids=["the other phone", "typed after pressing", "no time", "no number", "no name"],
)
def test_what_was_not_on_the_sheet_of_a_phone_stays(client, bench, phone, pressed_ms):
    typed(client, "standard_mass_g", "0,2150", ago_s=30)

    boxes = sent_from(client, phone, pressed_ms, standard_mass_g="0,2200")

    box = boxes["standard_mass_g"]
    assert (box["value"], box["sent"]) == ("0,2150", False)


def test_sending_a_typed_sheet_takes_few_queries(
    client, bench, django_assert_num_queries
):
    typed(client, "value/3/1", "61,5", phone=PHONES[1])
    typed(client, "standard_mass_g", "0,2100")

    # As for a program, with session, door and what the draft is marked with.
    with django_assert_num_queries(LOCK + 2 + 4 + 3 + SAVEPOINT):
        client.post(reverse("bench-sheet"), typed_sheet())


def test_the_answer_to_what_was_typed_is_what_a_look_then_finds(
    client, bench, time_machine
):
    def same_as_found(answer):
        names = ("seen", "revision", "received_ms", "boxes")
        told, found = answer.json(), client.get(URL).json()
        assert [told[name] for name in names] == [found[name] for name in names]

    same_as_found(typed(client, "standard_mass_g", "0,2", ago_s=900))
    same_as_found(typed(client, "standard_mass_g", "0,21", ago_s=890))
    same_as_found(typed(client, "standard_mass_g", "0,22", phone=PHONES[1], ago_s=900))
    client.post(reverse("bench-sheet"), typed_sheet())
    same_as_found(typed(client, "standard_mass_g", "0,23", phone=PHONES[1], ago_s=60))
    same_as_found(typed(client, "standard_mass_g", "0,24", ago_s=300))
    time_machine.shift(5)
    same_as_found(typed(client, "", "", edits=[]))
