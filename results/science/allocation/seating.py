"""Sending groups to stations: all used alike, each with as many lots as can be."""

import numpy as np
from numpy.random import Generator
from scipy.optimize import linear_sum_assignment

from results.science.allocation.wishes import NONE, Wishes
from results.science.arrays import IntArray

# What a station that is used once more costs, what meeting a lot once more costs,
# and what exceeding its share of a section's groups costs.
_USED, _MET, _CROWDED = 2.0, 3.0, 1000.0


def most_at_once(wishes: Wishes) -> IntArray:
    """Return how many groups of each section share a station at most, shape (S,).

    Zero for a section without groups at a station, or without a station.
    """
    seated = wishes.to_seat | (wishes.station != NONE)
    members = np.bincount(wishes.section[seated], minlength=len(wishes.service))
    stations = wishes.service.sum(axis=1)
    share = np.ceil(members / np.maximum(stations, 1))
    return np.asarray(np.where(stations > 0, share, 0)).astype(np.int64)


def seat(wishes: Wishes, lot: IntArray, rng: Generator) -> IntArray:
    """Give each group that wants one a station of its section.

    Section after section, in an order by lot, each time in the cheapest way (the
    assignment problem: H. W. Kuhn, Naval Res. Logist. Quart. 2, 1955, 83).

    Parameters
    ----------
    lot : array of int (G,)

    Returns
    -------
    array of int (G,)
    """
    station = wishes.station.copy()
    lots, stations = wishes.vials.size, wishes.service.shape[1]
    used = np.bincount(station[station != NONE], minlength=stations).astype(float)
    met = np.zeros((lots, stations))
    known = station != NONE
    np.add.at(met, (lot[known], station[known]), 1)
    most = most_at_once(wishes)
    for section in rng.permutation(len(wishes.service)).tolist():
        here = wishes.section == section
        groups = np.flatnonzero(here & wishes.to_seat)
        if not groups.size:
            continue
        taken = station[here & (station != NONE)]
        inside = np.bincount(taken, minlength=stations)
        places = np.repeat(np.flatnonzero(wishes.service[section]), most[section])
        turn = inside[places] + np.tile(
            np.arange(most[section]), places.size // most[section]
        )
        cost = (
            _USED * (used[places] + turn)
            + _CROWDED * np.maximum(turn - most[section] + 1, 0)
            + _MET * met[lot[groups]][:, places]
            + rng.random((groups.size, places.size))
        )
        rows, columns = linear_sum_assignment(cost)
        station[groups[rows]] = places[columns]
        np.add.at(used, places[columns], 1)
        np.add.at(met, (lot[groups[rows]], places[columns]), 1)
    return station
