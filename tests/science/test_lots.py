import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from results.science.diagnosis.lots import lot_reference


def reference(values, lot):
    """Reference of a class in which groups scatter by a percent."""
    return lot_reference(
        np.asarray(values, float), np.asarray(lot), least_sd=0.006, fewest=5
    )


def class_with(first_lot):
    """One small lot and four sound ones, from 8 to 16 percent."""
    rng = np.random.default_rng(1)
    others = np.repeat(np.log([8.0, 10.0, 13.0, 16.0]), 5)
    values = np.concatenate([first_lot, others + 0.01 * rng.standard_normal(20)])
    lot = np.concatenate([np.zeros(len(first_lot), int), np.repeat([1, 2, 3, 4], 5)])
    return values, lot


def test_two_that_agree_outweigh_one_that_does_not():
    values, lot = class_with(np.log([12.0, 11.5, 11.52, 4.6]))

    found = reference(values, lot)

    assert np.exp(found.centre[0, 0]) == pytest.approx(11.51, rel=0.005)
    assert found.weight[0, 0] > 0.9


def test_of_two_that_disagree_either_may_be_right():
    values, lot = class_with(np.log([12.0, 11.5, 10.5]))

    found = reference(values, lot)

    ways = np.exp(found.centre[0, np.argsort(-found.weight[0])[:2]])
    assert sorted(ways.tolist()) == pytest.approx([10.5, 11.5], rel=0.005)
    assert found.weight[0, :2].max() < 0.7


def test_a_group_alone_in_its_lot_is_held_to_the_spread_of_the_lots():
    values, lot = class_with(np.log([12.0]))

    found = reference(values, lot)

    assert 0.2 <= found.sd[0, 0] <= 0.5
    assert 8.0 < np.exp(found.centre[0, 0]) < 16.0


def test_whom_nobody_can_tell_from_its_one_peer_is_not_blamed():
    """Either may have slipped; a peer that did is still mostly near its lot."""
    values, lot = class_with(np.log([12.0, 11.0]))

    found = reference(values, lot)

    doubt = np.argmin(found.weight[0, :2])
    assert found.weight[0, doubt] > 0.05
    assert np.exp(found.centre[0, doubt]) == pytest.approx(11.0, rel=0.05)
    assert 0.08 < found.sd[0, doubt] < 0.15


def test_one_other_group_is_trusted_less_than_five():
    values, lot = class_with(np.log([12.0, 11.9]))

    found = reference(values, lot)

    assert found.weight[0, 0] < found.weight[5, 0]
    assert found.sd[0, 0] > found.sd[5, 0]


def test_a_group_has_no_say_in_what_its_lot_is_thought_to_hold():
    values, lot = class_with(np.log([12.0, 11.5, 11.52, 11.6]))
    slipped = values.copy()
    slipped[0] -= 0.5

    before, after = reference(values, lot), reference(slipped, lot)

    assert after.centre[0, 0] == pytest.approx(before.centre[0, 0], abs=1e-3)
    assert after.weight[1, 0] != before.weight[1, 0]


@settings(deadline=None)
@given(
    arrays(float, st.integers(5, 20), elements=st.floats(1, 3) | st.just(np.nan)),
    st.integers(1, 6),
)
def test_the_ways_of_trusting_a_lot_share_its_probability(values, lots):
    found = reference(values, np.arange(len(values)) % lots)

    total = found.weight.sum(axis=1)
    enough = np.isfinite(values).sum() - np.isfinite(values) >= 4
    assert total == pytest.approx(enough.astype(float))
    assert np.all(np.isfinite(found.centre) == (found.weight > 0.0))


def test_large_lots_go_by_their_median():
    rng = np.random.default_rng(2)
    values = np.log(12.0) + 0.01 * rng.standard_normal(30)
    lot = np.zeros(30, int)

    found = reference(values, lot)

    assert found.centre[7, 0] == pytest.approx(np.median(np.delete(values, 7)))
    assert np.all(found.weight[:, 0] == 1.0)
