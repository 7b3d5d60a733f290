"""A lot and a station for every group, repeatable by a seed."""

from dataclasses import dataclass

import numpy as np

from results.science.allocation.dealing import deal
from results.science.allocation.exchange import improve
from results.science.allocation.information import Model, log_determinant
from results.science.allocation.proofs import why_not
from results.science.allocation.reasons import Impossible
from results.science.allocation.seating import seat
from results.science.allocation.wishes import NONE, Wishes
from results.science.arrays import IntArray


@dataclass(frozen=True, slots=True)
class Allocation:
    """A plan.

    Attributes
    ----------
    lot, station : array of int (G,)
        Of every group, those that keep theirs included; -1 for groups without a
        station that want none.
    efficiency : float
        D-efficiency against a bound that no layout exceeds and few can reach, 0 to 1:
        the root of the ratio of determinants, of as many as there are levels.
    """

    lot: IntArray
    station: IntArray
    efficiency: float


def allocate(wishes: Wishes, *, seed: int) -> Allocation | Impossible:
    """Give every group a lot and a station, or say why that cannot be.

    No two neighbours share a lot; no group gets a lot that it must not; no more vials
    are used than are free; no station takes more than its share of a section.  Within
    these rules lots, stations and sections are crossed so that their effects can be
    told apart as well as can be: near D-optimal for the crossed model of recoveries.

    Examples
    --------
    >>> every = np.ones(2, dtype=bool)
    >>> wishes = Wishes(
    ...     section=np.array([0, 0]), place=np.array([1, 2]),
    ...     allowed=np.array([[True, True], [True, False]]), vials=np.array([1, 1]),
    ...     service=np.array([[True]]), lot=np.array([-1, -1]),
    ...     station=np.array([-1, -1]), wants_station=every)
    >>> allocate(wishes, seed=1).lot.tolist()
    [1, 0]
    """
    reasons = why_not(wishes)
    if reasons:
        return Impossible(reasons)
    rng = np.random.default_rng(seed)
    lot = deal(wishes, rng)
    if isinstance(lot, tuple):
        return Impossible(lot)
    station = seat(wishes, lot, rng)
    lot, station = improve(wishes, lot, station, rng)
    return Allocation(lot, station, _efficiency(wishes, lot, station))


def _efficiency(wishes: Wishes, lot: IntArray, station: IntArray) -> float:
    known = station != NONE
    section = wishes.section[known]
    # Levels that no group meets tell nothing whatever the plan.
    parts = [
        np.unique(codes, return_inverse=True)
        for codes in (section, station[known], lot[known])
    ]
    if not section.size:
        return 1.0
    model = Model(*(len(levels) for levels, _ in parts))
    reached = log_determinant(model.information(*(codes for _, codes in parts)))
    return float(np.exp((reached - model.bound(section.size)) / model.size))
