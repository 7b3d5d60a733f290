"""The crossed model on classes made for the purpose."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from results.science.effects import (
    CannotSeparate,
    Verdict,
    crossed_effects,
)
from results.science.effects.design import factors_of
from results.science.effects.leave_out import weakest
from results.science.effects.polish import median_polish
from results.science.effects.robust_fit import RobustFit
from tests.exam.crossed import LOT_SD, Fault, Layout, draw_class


def a_class(seed=1, **how):
    return draw_class(np.random.default_rng(seed), **how)


def effects_of(drawn, **how):
    return crossed_effects(drawn.y, drawn.labels, declared_sd={"lot": LOT_SD}, **how)


def claimed(effects, factor):
    return [
        one.level
        for one in effects.factors[factor].levels
        if one.verdict is Verdict.DIFFERS
    ]


def fitted(y, labels):
    factors = factors_of(labels, np.ones(len(y), dtype=bool), {})
    fit = RobustFit(
        y,
        factors,
        median_polish(y, factors),
        [np.zeros(len(one), dtype=bool) for one in factors],
    )
    fit.sweep(20)
    return fit


def cells(y_of_cell, sections, stations, repeats, sd=0.01, seed=0):
    """Every station in every section, so many groups each."""
    section, station = np.meshgrid(np.arange(sections), np.arange(stations))
    section, station = np.repeat([section.ravel(), station.ravel()], repeats, axis=1)
    rng = np.random.default_rng(seed)
    y = y_of_cell(section, station) + rng.normal(0, sd, section.size)
    return y, {"section": section, "station": station}


def test_station_with_a_large_gain_is_named_with_its_size():
    y, labels = cells(lambda _, station: 0.06 * (station == 4), 6, 12, 1)

    effects = crossed_effects(y, labels)

    assert claimed(effects, "station") == [4]
    one = effects.factors["station"].of(4)
    assert one.low < 0.06 < one.high
    assert one.n == 6


def test_whole_section_off_by_two_is_found_and_not_set_aside():
    drawn = a_class(fault=Fault("section", np.log(2.0)))

    effects = effects_of(drawn)

    assert set(claimed(effects, "section")) == drawn.faulty["section"]
    (level,) = drawn.faulty["section"]
    assert effects.factors["section"].of(level).n_kept >= 8


def test_blunders_are_set_aside_and_listed_by_row():
    drawn = a_class()

    effects = effects_of(drawn)

    gross = np.flatnonzero(drawn.blundered & (np.abs(drawn.y) > 0.1))
    assert set(gross) <= set(effects.set_aside)
    assert np.mean(drawn.blundered[effects.set_aside]) > 0.9


def test_scatter_and_spreads_come_out_near_those_drawn():
    fits = [effects_of(a_class(seed)) for seed in range(12)]

    assert np.mean([fit.sigma for fit in fits]) == pytest.approx(0.009, rel=0.1)
    for factor, sd in {"station": 0.006, "section": 0.004}.items():
        spreads = [fit.factors[factor].spread for fit in fits]
        assert np.sqrt(np.mean(np.square(spreads))) == pytest.approx(sd, rel=0.15)


@settings(deadline=None, max_examples=15)
@given(st.integers(0, 100), st.floats(-5, 5), st.floats(0.1, 10))
def test_shift_and_scale_of_the_response_move_the_effects_along(seed, shift, scale):
    drawn = a_class(seed, layout=Layout(sections=8, stations=10, rooms=1))

    plain = crossed_effects(drawn.y, drawn.labels)
    moved = crossed_effects(scale * drawn.y + shift, drawn.labels)

    assert moved.overall == pytest.approx(scale * plain.overall + shift, abs=1e-6)
    assert moved.sigma == pytest.approx(scale * plain.sigma, rel=1e-5)
    assert list(moved.set_aside) == list(plain.set_aside)


def test_order_of_the_rows_does_not_matter():
    drawn = a_class(3, fault=Fault("station", 0.06))
    order = np.random.default_rng(0).permutation(drawn.y.size)

    one = effects_of(drawn)
    drawn.y = drawn.y[order]
    drawn.labels = {name: column[order] for name, column in drawn.labels.items()}
    other = effects_of(drawn)

    assert claimed(one, "station") == claimed(other, "station")
    assert other.sigma == pytest.approx(one.sigma, rel=1e-9)


def test_lot_with_a_station_of_its_own_cannot_be_told_from_it():
    drawn = a_class(2, fault=Fault("lot", 0.1), layout=Layout(stations=6, rooms=1))
    drawn.labels["station"] = drawn.labels["lot"]

    effects = effects_of(drawn)

    (faulty,) = drawn.faulty["lot"]
    for factor, other in (("lot", "station"), ("station", "lot")):
        one = effects.factors[factor].of(faulty)
        assert one.verdict is Verdict.CANNOT_TELL
        assert (one.partner_factor, one.partner_level) == (other, faulty)
        assert one.overlap == 1.0


@pytest.mark.parametrize("wrong", [0, 1])
def test_of_two_lots_the_one_off_its_assigned_value_is_named(wrong):
    drawn = a_class(4, layout=Layout(lots=2))
    y = drawn.y - 0.1 * (drawn.labels["lot"] == wrong)

    effects = crossed_effects(
        y, drawn.labels, declared_sd={"lot": LOT_SD}, overall_sd=0.01
    )

    assert claimed(effects, "lot") == [wrong]
    assert effects.factors["lot"].of(wrong).effect == pytest.approx(-0.1, abs=0.02)


def test_stations_of_two_rooms_cannot_be_contrasted_when_sections_stay_in_theirs():
    drawn = a_class(layout=Layout(sections=10, stations=20, rooms=2))
    labels = {name: drawn.labels[name] for name in ("station", "section")}

    effects = crossed_effects(drawn.y, labels)

    with pytest.raises(CannotSeparate, match="Cannot separate station from section"):
        effects.contrast("station", 0, 19)
    within = effects.contrast("station", 0, 9)
    assert within.low < within.effect < within.high


def test_level_with_fewer_than_five_groups_claims_nothing():
    y, labels = cells(lambda _, station: 0.5 * (station == 3), 4, 10, 1)

    effects = crossed_effects(y, labels)

    assert claimed(effects, "station") == []
    assert effects.factors["station"].of(3).verdict is Verdict.TOO_FEW


def test_claim_that_rests_on_one_section_says_so():
    # In section 5 station 2 read 0.02 high, five times; elsewhere it did not.
    def y_of(section, station):
        return 0.02 * ((station == 2) & (section == 5))

    y, labels = cells(y_of, 6, 12, 5)

    left = {one.factor: one for one in weakest(fitted(y, labels), 1, 2, np.arange(360))}

    assert left["section"].level == 5
    assert left["section"].effect < 0.5 * left["group"].effect


def test_claim_held_by_every_group_is_firm():
    y, labels = cells(lambda _, station: 0.08 * (station == 4), 8, 12, 1)

    one = crossed_effects(y, labels).factors["station"].of(4)

    assert one.is_firm
    assert {left.factor for left in one.left_out} == {"group", "section"}
    assert all(left.effect > 0.05 for left in one.left_out)


def test_plain_median_stands_beside_the_effect():
    y, labels = cells(lambda _, station: 0.06 * (station == 4), 6, 12, 1)

    one = crossed_effects(y, labels).factors["station"].of(4)

    assert one.median == pytest.approx(np.median(y[labels["station"] == 4]))
    assert one.median_low < one.median < one.median_high


def test_rows_without_a_response_are_left_out():
    y, labels = cells(lambda *_: 0.0, 6, 6, 1)
    y[:3] = np.nan

    assert crossed_effects(y, labels).n == 33


def test_nothing_is_fitted_to_a_handful_of_rows():
    effects = crossed_effects([0.1, 0.2, np.nan], {"station": [1, 2, 3]})

    assert effects.factors == {}
    assert effects.n == 2


def test_factor_with_a_single_level_is_left_out():
    y, labels = cells(lambda *_: 0.0, 6, 6, 1)
    labels["week"] = np.zeros(36, dtype=int)

    assert set(crossed_effects(y, labels).factors) == {"section", "station"}


def test_equal_responses_show_no_difference():
    _, labels = cells(lambda *_: 0.0, 6, 6, 1)

    effects = crossed_effects(np.full(36, 2.0), labels)

    assert effects.overall == pytest.approx(2.0)
    assert claimed(effects, "station") == []


def test_labels_must_be_as_many_as_rows():
    with pytest.raises(ValueError, match="Every row needs its station"):
        crossed_effects(np.zeros(12), {"station": np.zeros(11)})


def test_declared_spread_must_be_above_zero():
    y, labels = cells(lambda *_: 0.0, 6, 6, 1)

    with pytest.raises(ValueError, match="declared spread of every station"):
        crossed_effects(y, labels, declared_sd={"station": 0.0})
