"""What in a plan is not as one would wish, without forbidding it."""

from collections.abc import Iterator

import numpy as np

from results.issuing.arranging import Arranged
from results.policy.issuing_reasons import listed
from results.science.allocation import Coverage
from results.science.allocation.wishes import NONE

#: What a lot, and a station, should meet at least.
STATIONS_OF_LOT, LOTS_OF_STATION = 5, 4


def remarks(arranged: Arranged, met: Coverage | None) -> tuple[str, ...]:
    """Return a sentence for each remark; of what was planned if there is a plan."""
    said = list(_of_places(arranged))
    if arranged.passed_over:
        names = [
            f"{arranged.section_of(one)} group {one.group}"
            for one in arranged.passed_over
        ]
        said.append(
            f"{listed(names)} sent readings already and keep{'s' * (len(names) == 1)} "
            "what was issued."
        )
    out = [one.station for one in arranged.state.stations if not one.in_service]
    if out and arranged.wish.plans_stations:
        is_one = len(out) == 1
        said.append(
            f"Station{'' if is_one else 's'} {listed(out)} {'is' if is_one else 'are'} "
            "out of service and left out."
        )
    if met is not None:
        said += _of_crossing(arranged, met)
    return tuple(said)


def _of_places(arranged: Arranged) -> Iterator[str]:
    if arranged.wish.neighbours_may_share:
        yield "Neighbours may share a lot, as asked for."
        return
    if arranged.by_order:
        yield (
            f"No place along the benches is entered in section"
            f"{'s' * (len(arranged.by_order) > 1)} {listed(arranged.by_order)}: groups "
            "are taken to stand in the order of their numbers."
        )
    lost = int(np.sum(arranged.wishes.place == NONE))
    if lost:
        yield (
            f"{lost} group{'s have' if lost > 1 else ' has'} no place along the "
            "benches; who stands beside them is not known."
        )


def _of_crossing(arranged: Arranged, met: Coverage) -> Iterator[str]:
    if met.conflicts:
        yield (
            f"{met.conflicts} pair{'s' * (met.conflicts > 1)} of neighbours held one "
            "lot before this plan."
        )
    few = [
        code
        for (_, code), n, groups in zip(
            arranged.state.lots, met.stations_of_lot, met.groups_of_lot, strict=True
        )
        if groups and n < STATIONS_OF_LOT
    ]
    if few:
        yield (
            f"Lot{'s' * (len(few) > 1)} {listed(few)} would be read at fewer than "
            f"{STATIONS_OF_LOT} stations: hard to tell from their faults."
        )
    poor = [
        one.station
        for one, n, groups in zip(
            arranged.stations, met.lots_of_station, met.groups_at_station, strict=True
        )
        if groups and n < LOTS_OF_STATION
    ]
    if poor:
        yield (
            f"Station{'s' * (len(poor) > 1)} {listed(poor)} would see fewer than "
            f"{LOTS_OF_STATION} lots."
        )
