"""What a layout will tell, foreseen, against classes that were simulated."""

import numpy as np
import pytest

from results.science.allocation import allocate, foresee
from results.science.allocation.foresight import SPREADS
from results.science.allocation.information import SLOPE_SD
from results.science.effects import Verdict, crossed_effects
from tests.science.allocations import make_wishes

FAULTS = {"station": 3.0, "lot": 2.0, "section": -3.0}


@pytest.fixture(scope="module")
def labels():
    """Thirty sections of twelve groups, forty stations, eight lots, as planned."""
    wishes = make_wishes(30, 12, lots=8, stations=40)
    plan = allocate(wishes, seed=3)
    return {"station": plan.station, "section": wishes.section, "lot": plan.lot}


def test_everything_can_be_told_apart_in_a_crossed_course(labels):
    found = foresee(labels, FAULTS).estimable

    assert all(one.is_whole and not one.islands for one in found.values())
    assert found["station"].n_contrasts == 39


def test_power_is_that_of_the_study_of_crossed_models(labels):
    # Found in 78, 100 and 97 of 100 simulated classes of this size with usual slips,
    # and by the same method with true variances in 82, 100 and 99.
    power = foresee(labels, FAULTS).power

    assert power["station"].mean == pytest.approx(0.80, abs=0.05)
    assert power["lot"].mean > 0.97
    assert power["section"].mean > 0.94


def test_power_agrees_with_the_fit_of_simulated_classes(labels):
    power = foresee(labels, FAULTS).power["station"].mean
    rng, n_classes, found = np.random.default_rng(5), 120, 0
    crossed = {name: labels[name] for name in ("station", "section")}

    for _ in range(n_classes):
        effects = {name: rng.normal(0, SPREADS[name], 40) for name in crossed}
        faulty = int(rng.integers(40))
        effects["station"][faulty] += FAULTS["station"]
        y = rng.normal(0, SLOPE_SD, 360)
        y += sum(effects[name][codes] for name, codes in crossed.items())
        fit = crossed_effects(y / 100, crossed)
        level = fit.factors["station"].of(faulty)
        found += level.verdict is Verdict.DIFFERS

    # Three standard errors of a share of 120 classes.
    assert found / n_classes == pytest.approx(power, abs=0.11)


def test_lots_that_stay_at_one_station_each_cannot_be_told_from_it():
    station = np.tile(np.arange(6), 12)
    labels = {
        "station": station,
        "section": np.repeat(np.arange(6), 12),
        "lot": station,
    }

    found = foresee(labels, FAULTS)

    assert found.estimable["lot"].n_contrasts == 0
    assert found.estimable["lot"].islands["station"] == [(k,) for k in range(6)]
    assert found.power["lot"].power.tolist() == [0.0] * 6


def test_rooms_that_share_no_section_are_islands_of_stations():
    section = np.repeat(np.arange(6), 8)
    station = np.tile(np.arange(8), 6) + 8 * (section % 2)
    labels = {"station": station, "section": section, "lot": np.arange(48) % 5}

    found = foresee(labels, FAULTS).estimable["station"]

    assert found.islands == {"section": [tuple(range(8)), tuple(range(8, 16))]}
    assert found.n_contrasts == 14


def test_a_station_of_few_groups_is_the_weakest_and_not_tested():
    station = np.append(np.tile(np.arange(5), 12), [5, 5, 5])
    labels = {
        "station": station,
        "section": np.arange(63) % 7,
        "lot": np.arange(63) % 4,
    }

    power = foresee(labels, FAULTS).power["station"]

    assert power.weakest == 5
    assert power.power[5] == 0.0
    assert power.power[:5].min() > 0.0


def test_a_larger_fault_is_found_more_often(labels):
    means = [
        foresee(labels, FAULTS | {"station": size}).power["station"].mean
        for size in (1.0, 2.0, 3.0, 5.0)
    ]

    assert means == sorted(means)
    assert means[0] < 0.1
    assert means[-1] > 0.99
