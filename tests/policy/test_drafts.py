from datetime import UTC, datetime, timedelta
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.policy.drafts import (
    MOST_EDITS,
    MOST_REMEMBERED,
    BadDraft,
    Edit,
    boxes_of,
    by_the_site,
    merged,
    read_edits,
)
from tests.factories import raw_submission

NOON = datetime(2025, 3, 4, 12, 0, tzinfo=UTC)
HOUR_MS = 3_600_000
PHONES = ("aaaaaaaa", "bbbbbbbb")


def edit(value, minute, phone=PHONES[0]):
    at = NOON + timedelta(minutes=minute)
    return Edit("value/3/1", value, at, phone, round(at.timestamp() * 1000))


def message(**changes):
    edits = [{"field": "station", "value": "4", "stamp_ms": 1_000}]
    return {"phone": PHONES[0], "sent_ms": 61_000, "edits": edits, **changes}


edits = st.builds(
    edit,
    st.sampled_from(["43.5", "44", ""]),
    st.integers(0, 600),
    st.sampled_from(PHONES),
)


@given(st.integers(-2000 * HOUR_MS, 2000 * HOUR_MS), st.integers(0, 5 * HOUR_MS))
def test_a_clock_that_is_wrong_by_any_amount_does_not_matter(skew_ms, age_ms):
    sent_ms = 1_741_089_600_000 + skew_ms

    at = by_the_site(sent_ms - age_ms, sent_ms, NOON)

    assert at == NOON - timedelta(milliseconds=age_ms)


def test_an_edit_from_the_future_was_made_now():
    assert by_the_site(2**52, 1_000, NOON) == NOON


def test_an_edit_of_another_age_is_no_error():
    assert by_the_site(-(2**52), 2**52, NOON) < NOON


def test_the_later_edit_stands_and_the_earlier_one_is_remembered():
    stands, earlier = merged([edit("44", 5, PHONES[1])], [edit("43.5", 1)])

    assert (stands.value, earlier.value) == ("44", "43.5")


@given(st.lists(edits, min_size=2, max_size=4))
def test_the_order_in_which_messages_arrive_decides_nothing(all_edits):
    standing = set()
    for order in permutations(all_edits):
        known = ()
        for one in order:
            known = merged(known, [one])
        standing.add(known[0].rank[:2])

    assert len(standing) == 1


def test_a_message_that_came_twice_changes_nothing():
    first = merged([], [edit("43.5", 1)])

    assert merged(first, [edit("43.5", 1)]) == first


def test_what_is_typed_on_the_way_to_a_number_is_not_remembered():
    typing = [edit(value, i / 60) for i, value in enumerate(["4", "43", "43.5"])]

    assert [one.value for one in merged([], typing)] == ["43.5"]


def test_a_box_remembers_a_few_edits_only():
    many = [edit(str(minute), minute) for minute in range(50)]

    assert len(merged([], many)) == MOST_REMEMBERED


@pytest.mark.parametrize(
    "document",
    [
        None,
        [],
        {},
        message(phone="A phone"),
        message(sent_ms=None),
        message(sent_ms=True),
        message(edits="none"),
        message(edits=[{}] * (MOST_EDITS + 1)),
        message(edits=["4"]),
        message(edits=[{"field": "", "value": "4", "stamp_ms": 1}]),
        message(edits=[{"field": "a" * 81, "value": "4", "stamp_ms": 1}]),
        message(edits=[{"field": "a", "value": "4" * 201, "stamp_ms": 1}]),
        message(edits=[{"field": "a", "value": "\x00", "stamp_ms": 1}]),
        message(edits=[{"field": "a", "value": "\ud800", "stamp_ms": 1}]),
        message(edits=[{"field": "a", "value": 4, "stamp_ms": 1}]),
        message(edits=[{"field": "a", "value": "4", "stamp_ms": 2**60}]),
    ],
)
def test_what_no_page_sends_is_refused_with_a_sentence(document):
    with pytest.raises(BadDraft, match="could not be read"):
        read_edits(document, NOON)


def test_an_edit_is_read_with_the_time_of_the_site():
    (only,) = read_edits(message(), NOON)

    assert (only.field, only.value) == ("station", "4")
    assert only.edited_at == NOON - timedelta(minutes=1)


def test_a_submission_names_its_boxes_as_phones_do():
    boxes = boxes_of(raw_submission(left_out=["2"], own={"own_slope": "0.20"}))

    assert boxes["station"] == "4"
    assert boxes["own_slope"] == "0.20"
    assert boxes["value/U1/1"] == str(raw_submission().readings[5].value)
    assert (boxes["left_out/2"], boxes["left_out/1"]) == ("1", "")
