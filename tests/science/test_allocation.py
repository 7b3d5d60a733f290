"""Every group gets a lot and a station by the rules, or it is proved why not."""

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from results.science.allocation import (
    Impossible,
    NeighboursClash,
    NoLotLeft,
    NoStation,
    NothingFits,
    TooFewVials,
    allocate,
    coverage,
)
from tests.science.allocations import broken_rules, can_be_dealt, make_wishes


@st.composite
def wishes_of_few(draw):
    """Two sections of up to four groups, up to three lots, gaps, and kept lots."""
    per_section, lots = draw(st.integers(1, 4)), draw(st.integers(1, 3))
    n = 2 * per_section
    several = st.lists(st.booleans(), min_size=n * lots, max_size=n * lots)
    place = draw(st.permutations(range(1, 7)))[:per_section]
    kept = draw(st.lists(st.integers(-4, lots - 1), min_size=n, max_size=n))
    return make_wishes(
        2,
        per_section,
        lots=lots,
        vials=draw(st.lists(st.integers(0, 4), min_size=lots, max_size=lots)),
        allowed=np.array(draw(several)).reshape(n, lots)
        | np.array(draw(several)).reshape(n, lots),
        place=np.tile(place, 2),
        lot=np.maximum(kept, -1),
    )


@given(wishes_of_few(), st.integers(0, 99))
@settings(max_examples=150)
def test_a_plan_is_found_exactly_when_there_is_one_and_keeps_the_rules(wishes, seed):
    plan = allocate(wishes, seed=seed)

    if isinstance(plan, Impossible):
        assert not can_be_dealt(wishes)
    else:
        assert broken_rules(wishes, plan) == []


@given(wishes_of_few())
@settings(max_examples=150)
def test_groups_of_a_proof_cannot_be_dealt_by_themselves(wishes):
    plan = allocate(wishes, seed=1)
    if not isinstance(plan, Impossible):
        return
    for reason in plan.reasons:
        match reason:
            case NoLotLeft(group=group):
                members = [group]
            case NeighboursClash(groups=groups) | TooFewVials(groups=groups):
                members = list(groups)
            case NothingFits(sections=sections):
                members = np.flatnonzero(np.isin(wishes.section, sections)).tolist()
        assert not can_be_dealt(only(wishes, members))


def only(wishes, members):
    """The same wishes for some groups to be dealt, beside those that keep a lot."""
    kept = np.flatnonzero(wishes.lot >= 0).tolist()
    rows = sorted({*members, *kept})
    by_group = ("section", "place", "allowed", "lot", "station", "wants_station")
    return type(wishes)(
        **{name: getattr(wishes, name)[rows] for name in by_group},
        vials=wishes.vials,
        service=wishes.service,
    )


def test_thirty_sections_are_planned_in_under_five_seconds_and_well_crossed():
    rng = np.random.default_rng(4)
    wishes = make_wishes(
        30, 12, lots=8, stations=40, vials=50, allowed=rng.random((360, 8)) > 0.1
    )

    start = time.process_time()
    plan = allocate(wishes, seed=7)
    took_s = time.process_time() - start

    assert took_s < 5
    assert broken_rules(wishes, plan) == []
    met = counted(wishes, plan)
    assert met.conflicts == 0
    assert met.stations_of_lot.min() >= 5
    assert met.sections_of_lot.min() >= 25
    assert met.lots_of_station.min() >= 4
    assert plan.efficiency > 0.97


def counted(wishes, plan):
    return coverage(
        section=wishes.section,
        place=wishes.place,
        lot=plan.lot,
        station=plan.station,
        shape=(*wishes.service.shape, wishes.vials.size),
    )


def test_the_same_seed_gives_the_same_plan_and_another_another():
    wishes = make_wishes(6, 8, lots=5, stations=9)

    first, again, other = (allocate(wishes, seed=seed) for seed in (3, 3, 4))

    assert np.array_equal(first.lot, again.lot)
    assert np.array_equal(first.station, again.station)
    assert not np.array_equal(first.lot, other.lot)


def test_what_groups_keep_stays_and_only_the_rest_is_planned():
    wishes = make_wishes(
        2, 4, lot=np.array([0, -1, 1, -1] * 2), station=np.array([-1, 2, -1, -1] * 2)
    )

    plan = allocate(wishes, seed=1)

    assert plan.lot[[0, 2, 4, 6]].tolist() == [0, 1, 0, 1]
    assert plan.station[[1, 5]].tolist() == [2, 2]
    # Between a group with lot 0 and one with lot 1 only lot 2 is left.
    assert plan.lot[[1, 5]].tolist() == [2, 2]


def test_a_station_out_of_service_gets_nobody():
    service = np.ones((3, 4), dtype=bool)
    service[:, 1] = False

    plan = allocate(make_wishes(service=service), seed=1)

    assert 1 not in plan.station


def test_latin_squares_are_found_where_they_are_best():
    # A Latin square is D-optimal, among others, for rows, columns and letters
    # crossed (J. Kiefer in A Survey of Statistical Design, 1975, 333).
    wishes = make_wishes(5, 5, lots=5, stations=5, place=np.full(25, -1))

    plan = allocate(wishes, seed=2)

    met = counted(wishes, plan)
    assert met.stations_of_lot.tolist() == [5] * 5
    assert met.sections_of_lot.tolist() == [5] * 5
    assert met.lots_of_station.tolist() == [5] * 5
    # Orthogonal: only what is known of the class's level keeps it from the bound.
    assert plan.efficiency == pytest.approx(1.0, abs=3e-4)


class TestReasons:
    def test_a_group_that_had_every_lot_is_named(self):
        allowed = np.ones((12, 3), dtype=bool)
        allowed[5] = [False, False, True]

        found = allocate(make_wishes(allowed=allowed, vials=[9, 9, 0]), seed=1)

        assert found.reasons == (NoLotLeft(5, barred=(0, 1), beside=(), used_up=(2,)),)

    def test_a_section_of_neighbours_with_one_lot_clashes_at_two_benches(self):
        found = allocate(make_wishes(1, 4, lots=1), seed=1)

        assert found.reasons == (NeighboursClash((0, 1), (0,)),)

    def test_a_clash_over_three_benches_is_found_whole(self):
        allowed = np.array([[1, 1, 1], [1, 0, 0], [1, 1, 0], [0, 1, 0]], dtype=bool)

        found = allocate(make_wishes(1, 4, allowed=allowed), seed=1)

        assert found.reasons == (NeighboursClash((1, 2, 3), (0, 1)),)

    def test_groups_with_too_few_vials_are_the_fewest_that_prove_it(self):
        allowed = np.ones((12, 3), dtype=bool)
        allowed[[0, 4, 8]] = [True, False, False]

        found = allocate(make_wishes(allowed=allowed, vials=[2, 9, 9]), seed=1)

        assert found.reasons == (
            TooFewVials((0, 4, 8), lots=(0,), n_fitting=2, by_neighbours=False),
        )

    def test_neighbours_that_hold_a_lot_back_are_told_from_a_lack_of_vials(self):
        # Of five neighbours three can have the plentiful lot, and one vial is left.
        found = allocate(make_wishes(1, 5, lots=2, vials=[9, 1]), seed=1)

        (reason,) = found.reasons
        assert reason.by_neighbours
        assert (len(reason.groups), reason.n_fitting) == (5, 4)

    def test_what_only_a_search_rules_out_names_the_sections(self):
        # Beside lot 1 in the middle, lot 0 is forced on one group of each section;
        # group 0 then needs a third vial of lot 0, or a second of lot 2.
        rows = ["1110", "0100", "1100", "0100", "1100", "0010", *["0101"] * 3]
        allowed = np.array([[sign == "1" for sign in row] for row in rows])

        wishes = make_wishes(3, 3, lots=4, allowed=allowed, vials=[2, 9, 1, 9])
        found = allocate(wishes, seed=1)

        assert found.reasons == (NothingFits((0, 1)),)

    def test_a_section_without_a_station_in_service_is_named(self):
        service = np.ones((3, 4), dtype=bool)
        service[1] = False

        found = allocate(make_wishes(service=service), seed=1)

        assert found.reasons == (NoStation(1),)

    def test_wishes_that_do_not_fit_together_are_refused(self):
        with pytest.raises(ValueError, match="outside"):
            make_wishes(lot=np.full(12, 3))
