"""Scaling for the prep room: never short, never more than one bottle too much."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.science.dilution import parse_scheme
from results.science.prep import (
    StrengthUnit,
    bottles,
    containers,
    needed_mL,
    salt_g,
    solid_g,
    waste_per_group_mL,
)
from tests.factories import protocol_document

volumes = st.floats(0, 1e6)
sizes = st.lists(st.integers(1, 5000), min_size=1, max_size=6, unique=True)


@given(need=volumes, sizes_mL=sizes)
def test_bottles_hold_what_is_needed(need, sizes_mL):
    assert sum(bottles(need, sizes_mL)) >= need - 1e-6


@given(need=volumes, sizes_mL=sizes)
def test_no_bottle_is_one_too_many(need, sizes_mL):
    filled = bottles(need, sizes_mL)

    assert not filled or sum(filled[:-1]) < need


@given(need=st.integers(1, 100_000), sizes_mL=sizes)
def test_the_last_bottle_is_the_smallest_that_holds_the_rest(need, sizes_mL):
    *whole, last = bottles(need, sizes_mL)

    smaller = [size for size in sizes_mL if size < last]
    assert all(sum(whole) + size < need for size in smaller)


def test_what_arithmetic_leaves_over_fills_no_further_bottle():
    assert bottles(1000 + 1e-9, [1000]) == (1000,)
    assert bottles(0, [1000]) == ()


@pytest.mark.parametrize("sizes_mL", [[], [0, 100]])
def test_bottles_without_a_size_are_refused(sizes_mL):
    with pytest.raises(ValueError, match="size of bottle"):
        bottles(10, sizes_mL)


@given(
    n=st.integers(1, 500),
    flasks=st.integers(1, 20),
    mL=st.floats(0.1, 100),
    overage=st.floats(0, 3),
    dead_mL=st.floats(0, 5000),
)
def test_the_need_covers_flasks_and_dispensers(n, flasks, mL, overage, dead_mL):
    need = needed_mL(
        mL, n_groups=n, flasks=flasks, overage=overage, dead_volume_mL=dead_mL
    )

    assert need >= n * flasks * mL
    assert need - dead_mL == pytest.approx(n * flasks * mL * (1 + overage))


def test_nothing_is_made_up_for_nobody():
    assert needed_mL(5, n_groups=0, flasks=8, overage=1, dead_volume_mL=50) == 0


@given(volume_mL=st.floats(1, 1e5), strength=st.floats(1e-3, 100))
def test_units_of_strength_agree(volume_mL, strength):
    molar = solid_g(volume_mL, strength, StrengthUnit.MOLAR, "NaCl")
    milli = solid_g(volume_mL, 1000 * strength, StrengthUnit.MILLIMOLAR, "NaCl")
    percent = solid_g(volume_mL, strength, StrengthUnit.PERCENT, "")
    per_litre = solid_g(volume_mL, 10 * strength, StrengthUnit.GRAMS, "")

    assert milli == pytest.approx(molar)
    assert per_litre == pytest.approx(percent)


def test_a_solid_that_is_half_pure_weighs_twice():
    pure = solid_g(100, 10, StrengthUnit.PERCENT, "")

    assert solid_g(100, 10, StrengthUnit.PERCENT, "", purity=0.5) == 2 * pure


def test_spare_weighings_come_on_top():
    assert salt_g(0.2, n_groups=10, spare=0.5) == pytest.approx(3.0)


@given(waste_mL=st.floats(0, 1e6), fill=st.floats(0.01, 1))
def test_containers_hold_the_waste_and_none_stays_empty(waste_mL, fill):
    n = containers(waste_mL, 5000, fill)

    assert n * 5000 * fill >= waste_mL - 1e-5
    assert n == 0 or (n - 1) * 5000 * fill < waste_mL


def test_a_container_that_holds_nothing_is_refused():
    with pytest.raises(ValueError, match="more than nothing"):
        containers(100, 5000, 0)


def test_rinsings_and_blanks_come_on_top_of_the_flasks():
    scheme = parse_scheme(protocol_document())
    bare_mL = waste_per_group_mL(scheme, blank_flasks=0)

    assert waste_per_group_mL(scheme, blank_flasks=2) == bare_mL + 200
    assert waste_per_group_mL(scheme, rinsings=0.1) == pytest.approx(
        1.1 * (bare_mL + 100)
    )
