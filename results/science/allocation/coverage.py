"""Who meets whom under a plan, counted."""

from dataclasses import dataclass

import numpy as np

from results.science.allocation.wishes import NONE, neighbours
from results.science.arrays import IntArray


@dataclass(frozen=True, slots=True)
class Coverage:
    """Counts of a plan of G groups.

    Attributes
    ----------
    conflicts : int
        Pairs of neighbours with one lot.
    groups_of_lot, stations_of_lot, sections_of_lot : array of int (L,)
    groups_at_station, lots_of_station : array of int (K,)
    """

    conflicts: int
    groups_of_lot: IntArray
    stations_of_lot: IntArray
    sections_of_lot: IntArray
    groups_at_station: IntArray
    lots_of_station: IntArray


def coverage(
    *,
    section: IntArray,
    place: IntArray,
    lot: IntArray,
    station: IntArray,
    shape: tuple[int, int, int],
) -> Coverage:
    """Count what a plan crosses.

    Parameters
    ----------
    section, place, lot, station : array of int (G,)
        -1 for places and stations that are not known.
    shape : (sections, stations, lots)

    Examples
    --------
    >>> found = coverage(
    ...     section=np.array([0, 0]), place=np.array([1, 2]), lot=np.array([0, 0]),
    ...     station=np.array([0, 1]), shape=(1, 2, 2))
    >>> found.conflicts, found.stations_of_lot.tolist()
    (1, [2, 0])
    """
    sections, stations, lots = shape
    known = station != NONE
    with_station = _met(lot[known], station[known], (lots, stations))
    with_section = _met(lot, section, (lots, sections))
    pairs = neighbours(section, place)
    return Coverage(
        conflicts=int(np.sum(lot[pairs[:, 0]] == lot[pairs[:, 1]])),
        groups_of_lot=with_section.sum(axis=1),
        stations_of_lot=(with_station > 0).sum(axis=1),
        sections_of_lot=(with_section > 0).sum(axis=1),
        groups_at_station=with_station.sum(axis=0),
        lots_of_station=(with_station > 0).sum(axis=0),
    )


def _met(one: IntArray, other: IntArray, shape: tuple[int, int]) -> IntArray:
    met = np.zeros(shape, dtype=np.int64)
    np.add.at(met, (one, other), 1)
    return met
