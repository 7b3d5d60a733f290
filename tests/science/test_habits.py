"""What a class shows of its care and of how often it slips."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from results.science.diagnosis import care_of
from results.science.diagnosis.assumptions import CLEAN
from results.science.diagnosis.habits import (
    ASSUMED_CARE,
    ENTRIES,
    assumed_habits,
    habits_of_class,
)
from results.science.simulate import draw_groups

LEVELS = len(ASSUMED_CARE)
ASSUMED = 1.0 - CLEAN


def own_of_course(seed, groups, factor):
    drawn = draw_groups(np.random.default_rng(seed), groups, slip_rate_factor=factor)
    return care_of(drawn.plan.scheme, drawn.readings)


def test_a_class_without_slips_is_thought_to_have_half_as_many():
    habits = habits_of_class(own_of_course(71, 1500, 0.0))

    assert (habits.slipped < 0.18).all()


def test_a_class_that_slips_as_often_as_assumed_is_thought_to():
    habits = habits_of_class(own_of_course(72, 1500, 1.0))

    assert habits.slipped.mean() == pytest.approx(ASSUMED, abs=0.05)


def test_rough_hands_of_a_sound_class_are_not_taken_for_slips():
    """In the invented course, one pair in eight is rougher than 2.4 declared sds."""
    habits = habits_of_class(own_of_course(73, 1500, 0.0))

    assert habits.care[:, 2:].sum(axis=1) == pytest.approx(0.2, abs=0.06)


def test_of_no_groups_nothing_is_learnt():
    assert len(habits_of_class(np.empty((0, ENTRIES))).slipped) == 0


def test_a_lone_group_learns_nothing_from_itself():
    own = np.zeros((1, ENTRIES))
    own[0, LEVELS - 1] = 1.0

    habits = habits_of_class(own)

    assert habits.care == pytest.approx(assumed_habits(1).care)
    assert habits.slipped == pytest.approx(assumed_habits(1).slipped)


@settings(deadline=None)
@given(arrays(float, st.tuples(st.integers(1, 9), st.just(ENTRIES)),
              elements=st.floats(1e-6, 1.0) | st.just(np.nan)))  # fmt: skip
def test_shares_are_shares_whatever_is_stored(own):
    habits = habits_of_class(own)

    assert habits.care.sum(axis=1) == pytest.approx(1.0)
    assert ((habits.care > 0.0) & (habits.care <= 1.0)).all()
    assert ((habits.slipped > 0.0) & (habits.slipped < 1.0)).all()
