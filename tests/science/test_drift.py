import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from results.science.control_chart import ewma, longest_run, watch
from results.science.drift import histories

WEEKS = 8


def term(*, moved_by=0.0, from_week=5, seed=1):
    """Ten stations, six groups each in every week; station 3 may move."""
    rng = np.random.default_rng(seed)
    station, week = np.meshgrid(np.arange(10), np.arange(WEEKS), indexing="ij")
    station, week = np.repeat([station.ravel(), week.ravel()], 6, axis=1)
    y = rng.normal(0, 0.02, 10)[station] + rng.normal(0, 0.01, station.size)
    y = y + 0.05 * (week % 2) + moved_by * ((station == 3) & (week >= from_week))
    return y, station, week


@given(st.floats(-5, 5), st.floats(0.05, 1))
def test_constant_series_on_target_stays_there(target, newest):
    followed = ewma(np.full(6, target), target=target, sd=1.0, newest=newest)

    assert_allclose(followed.smoothed, target)
    assert not followed.beyond.any()


def test_limits_widen_towards_those_of_a_long_series():
    growing = ewma(np.zeros(60), target=0.0, sd=1.0)
    settled = ewma(np.zeros(60), target=0.0, sd=1.0, settled=True)

    assert (np.diff(growing.high) >= 0).all()
    assert growing.high[0] == pytest.approx(0.9)
    assert growing.high[-1] == pytest.approx(settled.high[-1])


@pytest.mark.parametrize("newest", [0.0, 1.1])
def test_weight_outside_its_range_is_refused(newest):
    with pytest.raises(ValueError, match="weight above 0"):
        ewma([1.0], target=0.0, sd=1.0, newest=newest)


def test_missing_value_is_refused():
    with pytest.raises(ValueError, match="no missing values"):
        ewma([1.0, np.nan], target=0.0, sd=1.0)


def test_nine_in_a_row_on_one_side_are_a_long_run():
    run = longest_run([-1, *[0.1] * 9, -1], 0.0)

    assert (run.start, run.length, run.above) == (1, 9, True)
    assert run.is_long


def test_value_on_the_centre_ends_a_run():
    assert longest_run([1, 1, 0, 1], 0.0).length == 2


def test_station_that_moved_leaves_its_own_history():
    moved = [one for one in histories(*term(moved_by=0.05)) if one.has_moved]

    assert [one.station for one in moved] == [3]


def test_stations_that_differ_but_stay_have_not_moved():
    found = histories(*term())

    assert len(found) == 10
    assert not any(one.has_moved for one in found)


def test_history_holds_each_week_with_its_number_of_groups():
    one = histories(*term())[0]

    assert one.periods == tuple(range(WEEKS))
    assert one.n.tolist() == [6] * WEEKS
    assert one.followed is not None


def test_two_weeks_are_no_history():
    y, station, week = term()
    early = week < 2

    found = histories(y[early], station[early], week[early])

    assert all(one.followed is None and not one.has_moved for one in found)


def test_week_of_fewer_than_five_groups_is_left_out():
    y, station, week = term()
    y[(station == 0) & (week == 0)] = np.where(np.arange(6) < 2, np.nan, 0.0)

    assert histories(y, station, week)[0].periods == tuple(range(1, WEEKS))


def test_nothing_has_no_history():
    assert histories([np.nan], [1], [1]) == ()


def test_blank_that_creeps_down_warns():
    blanks = 100.0 - 0.15 * np.arange(20)

    assert watch(blanks, target=100.0, least_sd=0.15).warns


def test_blank_that_comes_back_to_the_same_reading_does_not_warn():
    blanks = np.array([100.0, 100.5, 100.0, 99.5, 100.0, 100.0, 100.5])

    assert not watch(blanks, target=100.0, least_sd=0.15).warns


def test_few_blanks_say_nothing():
    seen = watch([90.0, np.nan, 91.0], target=100.0, least_sd=0.15)

    assert (seen.n, seen.latest, seen.warns) == (2, 91.0, False)


def test_no_blank_says_nothing():
    assert watch([], target=100.0, least_sd=0.15).n == 0
