"""What holds for every scheme and every work."""

from dataclasses import fields, replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.policy.marking import (
    DEFAULT_DOCUMENT,
    NOTHING_RECEIVED,
    AllowanceKind,
    GradingFacts,
    Suggestion,
    Terms,
    read_scheme,
    suggest,
)
from tests.policy.marking.schemes import NONE, allowances, documents, iron, works

SCHEME = read_scheme(DEFAULT_DOCUMENT)
GOOD = GradingFacts(
    iron_percent=12.0,
    assigned_percent=12.0,
    spread_percent=0.5,
    tubes_read=7,
    tubes_expected=7,
    gave_own=True,
)


def part(suggested, name):
    return next(one for one in suggested.parts if one.name == name)


def test_another_value_of_next_to_nothing_is_judged_too():
    facts = replace(GOOD, u_assigned_percent=1.0)
    terms = Terms(AllowanceKind.OTHER_VALUE, "lot L3", "re-assayed", amount=5e-324)

    assert suggest(facts, SCHEME, [terms]).parts[0].points == 10


@given(documents(), works(), st.lists(allowances, max_size=3))
def test_any_scheme_gives_between_nothing_and_its_most(document, facts, granted):
    scheme = read_scheme(document)

    suggested = suggest(facts, scheme, granted)

    assert suggested.max_points == scheme.max_points
    assert suggested.total is None or NONE <= suggested.total <= scheme.max_points
    for one in suggested.parts:
        assert one.points is None or one.points <= one.max_points


@given(documents(), works(), iron, st.floats(-60, 60), st.floats(-60, 60))
def test_a_larger_error_never_earns_more(document, facts, assigned, one, other):
    scheme = read_scheme(document)
    near, far = sorted((abs(one), abs(other)))

    def total(error_percent):
        return suggest(
            replace(
                facts,
                no_answer_because="",
                assigned_percent=assigned,
                iron_percent=assigned * (1 + error_percent / 100),
            ),
            scheme,
        ).total

    assert total(far) is None or total(far) <= total(near)


@given(documents(), works(), st.lists(allowances, max_size=3))
def test_an_allowance_never_lowers(document, facts, granted):
    scheme = read_scheme(document)

    without, allowed = suggest(facts, scheme), suggest(facts, scheme, granted)

    for before, after in zip(without.parts, allowed.parts, strict=True):
        assert before.points is None or after.points >= before.points
    assert without.total is None or allowed.total >= without.total


@given(documents(), works(), st.lists(allowances, max_size=3))
def test_what_is_stored_is_what_was_suggested(document, facts, granted):
    suggested = suggest(facts, read_scheme(document), granted)

    assert Suggestion.from_json(suggested.as_json()) == suggested


def test_facts_have_no_room_for_who_the_group_is():
    assert {field.name for field in fields(GradingFacts)} == {
        "received",
        "no_answer_because",
        "iron_percent",
        "assigned_percent",
        "u_assigned_percent",
        "spread_percent",
        "tubes_read",
        "tubes_expected",
        "gave_own",
        "slips",
        "late_min",
        "again_after_due",
        "again",
        "look",
    }


def test_arithmetic_does_not_cost_accuracy():
    slipped = suggest(replace(GOOD, slips=("Slope upside down",)), SCHEME)

    assert part(slipped, "accuracy").points == 10
    assert part(slipped, "worked_answer").points == 3


# Limits of the bands as common practice has them (from memory).
@pytest.mark.parametrize(
    ("error_percent", "points"),
    [(1.0, 10), (1.01, 9), (2.0, 9), (3.0, 8), (5.0, 7), (8.0, 5), (12.0, 4), (30, 2)],
)
def test_a_band_reaches_up_to_its_limit(error_percent, points):
    scheme = read_scheme(
        {**DEFAULT_DOCUMENT, "accuracy": {**DEFAULT_DOCUMENT["accuracy"], "floor": 0}}
    )

    suggested = suggest(
        replace(GOOD, iron_percent=12 * (1 + error_percent / 100)), scheme
    )

    assert part(suggested, "accuracy").points == points


def test_complete_work_has_a_floor_that_incomplete_work_has_not():
    far = replace(GOOD, iron_percent=24.0)

    assert part(suggest(far, SCHEME), "accuracy").points == 4
    incomplete = suggest(replace(far, tubes_read=6), SCHEME)
    assert part(incomplete, "accuracy").points == 2


def test_the_lots_uncertainty_widens_the_bands():
    # 2.00 % off; two standard uncertainties of 0.06 % iron are 1.00 %.
    facts = replace(GOOD, iron_percent=12.24)

    sure = suggest(facts, SCHEME)
    unsure = suggest(replace(facts, u_assigned_percent=0.06), SCHEME)

    assert part(sure, "accuracy").points == 9
    assert part(unsure, "accuracy").points == 10


def test_without_an_assigned_value_only_a_person_can_tell():
    suggested = suggest(replace(GOOD, assigned_percent=None), SCHEME)

    assert suggested.total is None
    assert suggested.look == ("For a person to decide: accuracy",)


def test_nothing_received_is_nothing_earned():
    suggested = suggest(NOTHING_RECEIVED, SCHEME)

    assert suggested.total == 0
    assert suggested.look == ("Nothing received",)


@pytest.mark.parametrize(
    ("kind", "amount", "points"),
    [
        (AllowanceKind.WIDEN, 3.0, 10),
        # 12.48 / 12.6 is 0.95 % off.
        (AllowanceKind.OTHER_VALUE, 12.6, 10),
        (AllowanceKind.FULL_ACCURACY, 0.0, 10),
        (AllowanceKind.LEAVE_OUT, 0.0, 10),
    ],
)
def test_each_kind_of_allowance_raises_what_it_says(kind, amount, points):
    # 4.00 % off: 7 points without an allowance.
    facts = replace(GOOD, iron_percent=12.48)
    terms = Terms(kind, "lot L3", "re-assayed", amount)

    before = part(suggest(facts, SCHEME), "accuracy")
    after = part(suggest(facts, SCHEME, [terms]), "accuracy")

    assert (before.points, after.points) == (Decimal(7), Decimal(points))
    assert "lot L3, re-assayed" in after.said(open_values=True)
    assert "L3" not in after.said(open_values=False)
