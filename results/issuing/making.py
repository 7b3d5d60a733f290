"""Making a plan of what was read: numbers for the arrays, names for people."""

from dataclasses import replace

import numpy as np

from results.issuing.arranging import Arranged, arrange
from results.issuing.plan import IssuePlan, LotLine, PlanRow, StationLine
from results.issuing.remarks import remarks
from results.policy.issuing import IssuingWish
from results.policy.issuing_reasons import (
    Names,
    estimable_sentences,
    power_sentence,
    why_no_plan,
)
from results.science.allocation import (
    Allocation,
    Coverage,
    Impossible,
    allocate,
    coverage,
    foresee,
)
from results.science.allocation.wishes import NONE
from results.summaries.preparing.issuing_state import IssuingState

#: Faults whose finding is foreseen, in percent.
FAULTS_PERCENT = {"station": 3.0, "lot": 2.0, "section": -3.0}
# Fewer groups are not compared at all.
_FEWEST_GROUPS = 10


def make_plan(state: IssuingState, wish: IssuingWish) -> IssuePlan:
    """Return the plan for a wish, or one that says why there is none.

    Raises
    ------
    NotAdmitted
        A group would give its vial back, and no reason was given.
    """
    arranged = arrange(state, wish)
    plan = IssuePlan(
        course=state.course, title=state.title, wish=wish, mark=state.mark(wish)
    )
    found = allocate(arranged.wishes, seed=wish.seed)
    if isinstance(found, Impossible):
        why = why_no_plan(found.reasons, _names(arranged))
        return replace(plan, impossible=why, notes=remarks(arranged, None))
    met = coverage(
        section=arranged.wishes.section,
        place=arranged.wishes.place,
        lot=found.lot,
        station=found.station,
        shape=(*arranged.wishes.service.shape, arranged.wishes.vials.size),
    )
    told = replace(
        plan,
        rows=_rows(arranged, found, wish.seed),
        notes=remarks(arranged, met),
        conflicts=met.conflicts,
        lots=_lots(arranged, met, found),
        stations=_stations(arranged, met),
        efficiency=found.efficiency,
    )
    return _foreseen(told)


def _names(arranged: Arranged) -> Names:
    return Names(
        groups=[
            f"{arranged.section_of(one)} group {one.group}" for one in arranged.groups
        ],
        lots=[code for _, code in arranged.state.lots],
        sections=[code for _, code in arranged.state.sections],
        n_vials=arranged.wishes.vials.tolist(),
    )


def _rows(arranged: Arranged, found: Allocation, seed: int) -> tuple[PlanRow, ...]:
    """Draw vials for the lots, and name everything."""
    rng = np.random.default_rng((seed, 1))
    drawn = {
        lot: [free[k] for k in rng.permutation(len(free)).tolist()]
        for lot, free in sorted(arranged.state.free.items())
    }
    rows = []
    for n, one in enumerate(arranged.groups):
        lot_id, lot = arranged.state.lots[int(found.lot[n])]
        gets = bool(arranged.wishes.to_deal[n])
        vial_id, vial = drawn[lot_id].pop() if gets else (None, one.vial)
        here = int(found.station[n])
        station = None if here == NONE else arranged.stations[here]
        moves = bool(arranged.wishes.to_seat[n]) and station is not None
        rows.append(
            PlanRow(
                group_id=one.group_id,
                group=one.group,
                section_id=one.section_id,
                section=arranged.section_of(one),
                place=one.place,
                lot=lot,
                vial_id=vial_id,
                vial=vial,
                former_vial=one.vial if gets else "",
                station_id=station.station_id if station and moves else None,
                station=station.station if station else "",
            )
        )
    return tuple(rows)


def _lots(arranged: Arranged, met: Coverage, found: Allocation) -> tuple[LotLine, ...]:
    n_lots = arranged.wishes.vials.size
    dealt = np.bincount(found.lot[arranged.wishes.to_deal], minlength=n_lots)
    left = arranged.wishes.vials - dealt
    return tuple(
        LotLine(code, *numbers)
        for (_, code), *numbers in zip(
            arranged.state.lots,
            met.groups_of_lot.tolist(),
            met.stations_of_lot.tolist(),
            met.sections_of_lot.tolist(),
            left.tolist(),
            strict=True,
        )
    )


def _stations(arranged: Arranged, met: Coverage) -> tuple[StationLine, ...]:
    return tuple(
        StationLine(station.station, n_groups, n_lots)
        for station, n_groups, n_lots in zip(
            arranged.stations,
            met.groups_at_station.tolist(),
            met.lots_of_station.tolist(),
            strict=True,
        )
    )


def _foreseen(plan: IssuePlan) -> IssuePlan:
    """Add what the class would be able to tell."""
    telling = [row for row in plan.rows if row.station]
    columns = {
        "station": [row.station for row in telling],
        "lot": [row.lot for row in telling],
        "section": [row.section for row in telling],
    }
    labels = {name: codes for name, codes in columns.items() if len(set(codes)) > 1}
    if len(telling) < _FEWEST_GROUPS or not labels:
        few = (
            f"Nothing can be told of stations, lots or sections from {len(telling)} "
            f"group{'s' * (len(telling) != 1)} sent to stations."
        )
        return replace(plan, cannot_tell=(few,))
    seen = foresee(labels, FAULTS_PERCENT)
    power = tuple(seen.power.values())
    return replace(
        plan,
        cannot_tell=tuple(
            sentence
            for one in seen.estimable.values()
            for sentence in estimable_sentences(one)
        ),
        power=power,
        power_told=tuple(power_sentence(one) for one in power),
    )
