"""What a lot contains: few replicates, odd ones, and records that say nothing."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.science.assay import (
    Experience,
    MakeUp,
    Scatter,
    agreement,
    certified,
    made_up,
    mean_of,
)
from results.science.estimates import Component, combined
from results.science.homogeneity import Sameness, homogeneity
from results.science.outlying import Standing, furthest_out, grubbs_limit

PAIRS = ["a", "a", "b", "b", "c", "c", "d", "d", "e", "e"]


def test_one_replicate_alone_says_nothing_of_its_scatter():
    mean = mean_of([12.0], [""])
    found = combined(mean.value, [mean.component, Component("titrant", 0.02)])

    assert mean.scatter is Scatter.UNKNOWN
    assert not found.is_known
    assert math.isnan(found.u_for_two)
    assert math.isnan(agreement(found, certified(12, 0.1, 2)))


def test_one_replicate_has_the_scatter_of_its_method():
    mean = mean_of([12.0], [""], Experience(sd=0.05))

    assert (mean.scatter, mean.u, mean.df) == (Scatter.METHOD, 0.05, math.inf)


def test_no_replicate_has_no_mean():
    with pytest.raises(ValueError, match="at least one"):
        mean_of([], [])


def test_equal_replicates_leave_what_is_shared():
    mean = mean_of([12.0, 12.0, 12.0], [""] * 3)
    found = combined(mean.value, [mean.component, Component("titrant", 0.02)])

    assert (mean.u, found.u, found.k) == (0.0, 0.02, pytest.approx(1.96, abs=1e-3))


def test_nothing_uncertain_has_no_uncertainty():
    assert combined(12.0, []).u == 0.0


def test_few_replicates_claim_no_more_than_students_t_lets_them():
    mean = mean_of([12.0, 12.1], [""] * 2)

    found = combined(mean.value, [mean.component])

    assert found.k == pytest.approx(12.706, abs=1e-3)
    assert found.u_for_two == pytest.approx(12.706 / 2 * 0.05, rel=1e-4)


@given(st.floats(-3, 3))
def test_vials_that_agree_are_one_sample(shift):
    values = [12.0 + shift, 12.1 + shift, 12.1 + shift, 12.0 + shift]

    mean = mean_of(values, ["a", "a", "b", "b"])

    assert mean.scatter is Scatter.OWN
    assert (mean.df, mean.n_vials) == (3, 2)


def test_results_without_a_vial_are_one_sample():
    mean = mean_of([12.0, 12.0, 14.0, 14.0], ["", "", "b", "b"])

    assert (mean.scatter, mean.n_vials) == (Scatter.OWN, 1)


def test_vials_that_differ_without_scatter_of_their_own_are_the_sample():
    assert mean_of([12, 12, 13, 13], ["a", "a", "b", "b"]).scatter is Scatter.VIALS


def test_a_replicate_far_out_is_named():
    found = furthest_out([12.01, 12.03, 12.02, 12.02, 13.1])

    assert (found.place, found.standing) == (4, Standing.OUTLIER)


def test_a_replicate_a_little_out_is_a_straggler():
    # 1.73 standard deviations: between 1.715 and 1.764 for five.
    found = furthest_out([12.00, 12.02, 12.04, 12.06, 12.20])

    assert found.standing is Standing.STRAGGLER


@pytest.mark.parametrize("values", [[], [12.0, 13.0], [12.0, 12.0, 12.0]])
def test_two_replicates_or_equal_ones_have_no_outlier(values):
    assert furthest_out(values) is None


def test_grubbs_wants_three_values():
    with pytest.raises(ValueError, match="three values"):
        grubbs_limit(2, 0.05)


@pytest.mark.parametrize(
    ("values", "sigma_pt", "sameness"),
    [
        ([12.0, 12.02, 12.01, 12.0, 12.02, 12.01, 12.0, 12.01, 12.02, 12.0], 0.3,
         Sameness.ENOUGH),
        ([12.0, 12.01, 12.4, 12.41, 11.8, 11.81, 12.1, 12.09, 12.3, 12.31], 0.3,
         Sameness.TOO_MUCH),
        ([12.0, 12.01, 12.2, 12.21, 11.95, 11.96, 12.1, 12.09, 12.0, 12.01], 0.3,
         Sameness.WITHIN_CHANCE),
        ([12.0, 12.3, 12.1, 11.9, 12.2, 12.0, 12.0, 12.2, 12.1, 11.8], 0.3,
         Sameness.TOO_FEW),
        ([12.0] * 10, 0.3, Sameness.NO_SCATTER),
    ],
)  # fmt: skip
def test_a_check_of_vials_says_what_it_can(values, sigma_pt, sameness):
    assert homogeneity(values, PAIRS, sigma_pt).sameness is sameness


def test_what_a_check_could_have_missed_counts():
    found = homogeneity([12.0, 12.1] * 5, PAIRS, 0.3)

    assert found.s_between == 0.0
    assert found.u_between == found.u_hidden > 0.0


def test_vials_in_equal_pairs_that_differ_have_no_hidden_scatter():
    found = homogeneity([12.0, 12.0, 12.3, 12.3], ["a", "a", "b", "b"], 0.3)

    assert (found.u_hidden, found.power) == (0.0, 1.0)
    assert found.s_between == pytest.approx(0.3 / math.sqrt(2))


def test_water_taken_up_lowers_what_a_lot_contains():
    dry, damp = (
        made_up(MakeUp(400.0, 100.0, 0.14242, 0.998, 0.002, water_percent=water))
        for water in (0.0, 2.0)
    )

    assert damp.value == pytest.approx(0.98 * dry.value)
