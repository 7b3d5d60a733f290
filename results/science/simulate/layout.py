"""Who works where with what: lots, and the crossing of lots, stations, sections."""

import math
from dataclasses import dataclass
from itertools import cycle, islice

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from results.science.simulate.meters import Stations, invent_stations

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

#: Assigned values stand at least this far apart, relative.
LOT_GAP = 0.04
_LOT_SD, _VIAL_SD = 0.003, 0.003


@dataclass(frozen=True, slots=True)
class Lots:
    """L lots of unknowns; every array has shape (L,), iron in % by mass."""

    assigned_percent: Array
    u_percent: Array
    true_percent: Array
    vial_sd: Array
    faults: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.faults)


@dataclass(frozen=True, slots=True)
class Layout:
    """N groups with the station, lot and section of each, all of shape (N,)."""

    stations: Stations
    lots: Lots
    station: Indices
    lot: Indices
    section: Indices

    def __len__(self) -> int:
        return len(self.station)


def invent_lots(
    rng: Generator,
    count: int,
    *,
    iron_percent: tuple[float, float] = (6.0, 16.0),
    faulty: int = 0,
) -> Lots:
    """Invent lots whose assigned values cannot be taken for one another.

    Parameters
    ----------
    rng : Generator
    count : int
        Number of lots.
    iron_percent : (low, high)
        Range of the assigned values, % by mass.
    faulty : int
        How many have a fault; in turn a wrong key, damp, dried and segregated.
    """
    low, high = map(math.log, iron_percent)
    # More lots than fit at the full gap share the range evenly.
    gap = min(math.log1p(1.1 * LOT_GAP), (high - low) / max(count, 1))
    room = high - low - gap * (count - 1)
    spread = np.sort(rng.uniform(0, room, count)) + gap * np.arange(count)
    assigned = np.round(rng.permutation(np.exp(low + spread)), 2)
    shift = _LOT_SD * rng.standard_normal(count)
    vial_sd = np.full(count, _VIAL_SD)
    faults = [""] * count
    for turn, lot in enumerate(rng.permutation(count)[: min(faulty, count)]):
        middle = math.exp((low + high) / 2)
        kind = turn % 4
        faults[lot], shift[lot] = _spoil(rng, kind, up=bool(assigned[lot] < middle))
        if kind == 3:
            vial_sd[lot] = rng.uniform(0.015, 0.03)
    return Lots(
        assigned_percent=assigned,
        u_percent=np.round(_LOT_SD * assigned, 3),
        true_percent=assigned * (1 + shift),
        vial_sd=vial_sd,
        faults=tuple(faults),
    )


def _spoil(rng: Generator, kind: int, *, up: bool) -> tuple[str, float]:
    """Name of a lot's fault, and its relative shift from the assigned value."""
    if kind == 0:
        # Towards the middle of the range, so that the tubes can still be read.
        return "key wrong", rng.uniform(0.08, 0.30) * (1 if up else -1)
    if kind == 1:
        return "damp", -rng.uniform(0.02, 0.05)
    if kind == 2:
        return "dried", rng.uniform(0.01, 0.03)
    return "segregated", 0.0


def random_layout(
    rng: Generator, n_groups: int, *, stations: int = 40, lots: int = 8
) -> Layout:
    """Scatter groups over stations and lots at random, twelve to a section."""
    return Layout(
        stations=invent_stations(rng, stations),
        lots=invent_lots(rng, lots),
        station=rng.integers(0, stations, n_groups),
        lot=rng.integers(0, lots, n_groups),
        section=np.arange(n_groups) // 12,
    )


def cross(
    rng: Generator, stations: Stations, lots: Lots, sections: int, per_section: int
) -> Layout:
    """Cross lots with stations and sections, and neighbours with different lots.

    Each section uses a window of the stations that overlaps with the windows of
    other sections, about two groups to a station; so the effects of stations,
    sections and lots can be told apart.
    """
    window = min(len(stations), per_section // 2 + 1)
    station, lot = [], []
    for section in range(sections):
        # Window after window, one station further on every round, so that all are
        # used alike and no set of stations is cut off from the others.
        start = section * window + section * window // len(stations)
        here = (start + np.arange(window)) % len(stations)
        station.append(list(islice(cycle(rng.permutation(here)), per_section)))
        lot.append(list(islice(cycle(rng.permutation(len(lots))), per_section)))
    return Layout(
        stations=stations,
        lots=lots,
        station=np.array(station, dtype=np.intp).ravel(),
        lot=np.array(lot, dtype=np.intp).ravel(),
        section=np.repeat(np.arange(sections), per_section),
    )


def alias_lots_with_stations(layout: Layout) -> Layout:
    """Give every lot one station of its own.

    No statistics can then tell a lot from its station; a fair service says so.
    """
    return Layout(
        stations=layout.stations,
        lots=layout.lots,
        station=layout.lot % len(layout.stations),
        lot=layout.lot,
        section=layout.section,
    )
