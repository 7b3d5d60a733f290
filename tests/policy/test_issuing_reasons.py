"""What is said of plans: why there is none, and what one would tell."""

import numpy as np
import pytest

from results.policy.issuing_reasons import (
    Names,
    estimable_sentences,
    power_sentence,
    why_no_plan,
)
from results.science.allocation import (
    FactorForesight,
    FamilyPower,
    NeighboursClash,
    NoLotLeft,
    NoStation,
    NothingFits,
    TooFewVials,
    Undecided,
)

NAMES = Names(
    groups=["A1 group 1", "A1 group 2", "A2 group 1"],
    lots=["LA", "LB"],
    sections=["A1", "A2"],
    n_vials=[1, 0],
)


@pytest.mark.parametrize(
    ("reason", "words"),
    [
        (
            NoLotLeft(0, barred=(0,), beside=(), used_up=(1,)),
            "A1 group 1: somebody in it has had LA, no free vial is left of LB.",
        ),
        (NeighboursClash((0, 1), (0,)), "of all lots only LA can go to them"),
        (
            TooFewVials((0, 2), (0,), 1, by_neighbours=False),
            "2 groups (A1 group 1 and A2 group 1) can only get lot LA, of which 1 vial",
        ),
        (
            TooFewVials((0, 1), (0, 1), 1, by_neighbours=True),
            "with neighbours apart 1 can be used",
        ),
        (NoStation(1), "Section A2 has no station in service."),
        (NothingFits((0, 1)), "for sections A1 and A2"),
        (Undecided(), "none was ruled out"),
    ],
)
def test_every_reason_names_who_and_what(reason, words):
    (said,) = why_no_plan([reason], NAMES)

    assert words in said


def test_a_course_without_vials_is_told_once_and_not_for_every_group():
    reasons = [NoLotLeft(n, barred=(), beside=(), used_up=(0, 1)) for n in range(3)]

    (said,) = why_no_plan(reasons, NAMES)

    assert said.startswith("No free vial is left of any lot")


def family(*power, fault_percent=3.0):
    levels = tuple(f"S{n}" for n in range(1, len(power) + 1))
    count = np.arange(7, 7 + len(power))
    return FamilyPower("station", fault_percent, levels, count, np.array(power))


def test_the_station_at_which_a_fault_is_missed_most_is_named():
    assert power_sentence(family(0.8, 0.4)) == (
        "A station that reads 3 % high would be found in 60 of 100 terms; least "
        "surely station S2 (8 groups): 40 of 100."
    )


def test_stations_with_too_few_groups_are_counted():
    one = FamilyPower(
        "station", 3.0, ("S1", "S2"), np.array([4, 9]), np.array([0, 0.8])
    )

    assert "never station S1 (4 groups): 1 of 2 stations" in power_sentence(one)


def test_stations_alike_are_not_told_apart():
    said = power_sentence(family(0.8, 0.8, fault_percent=-2.0))

    assert said == (
        "A station that reads 2 % low would be found in 80 of 100 terms, whichever "
        "station it is."
    )


def test_sets_of_stations_that_nothing_links_are_named():
    one = FactorForesight("station", 3, 1, {"section": [("S1", "S2"), ("S3",)]})

    (said,) = estimable_sentences(one)

    assert "2 sets that no section links: S1 and S2; S3." in said


def test_differences_mixed_with_several_factors_are_counted():
    one = FactorForesight("lot", 4, 2, {})

    assert estimable_sentences(one) == (
        "1 of 3 differences between lots cannot be told from those of the others.",
    )
