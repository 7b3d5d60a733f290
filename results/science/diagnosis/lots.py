"""What the other groups of a lot say of its iron content, be they ever so few.

Of many groups the median tells.  Of a few, each may have slipped, and then the others
must tell which: the content is a mixture, each part of it one way of trusting some of
them, with the spread of the class's own lots behind them all.
"""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import FloatArray, IntArray
from results.science.diagnosis.assumptions import (
    LOT_FAR,
    LOT_FAR_SD,
    LOT_NEAR_SD,
    LOT_SPOILED,
    LOT_SPREAD,
)
from results.science.diagnosis.medians import (
    MEDIAN_FACTOR,
    LeftOut,
    median_of_others,
    robust_sd,
)

#: Lots with this many other groups go by their median alone.
MANY = 9
#: Ways of trusting the others of a lot that are followed, the likeliest first.
WAYS = 3
#: Scatter of one group's log iron content before a class has shown its own, and how
#: many groups that is worth; judgement.
USUAL_SD, USUAL_GROUPS = 0.012, 8.0
#: Steps of expectation and maximisation towards a consensus; they converge fast.
_ROUNDS = 12
#: Two consensuses nearer than this many standard deviations are one.
_ALIKE = 1.0


@dataclass(frozen=True, slots=True)
class LotReference:
    """Log iron content for N groups by W ways, each without the group's own say.

    ``centre``, ``sd`` (N, W), NaN where there is no such way; ``weight`` (N, W) sums
    to one over the ways of a group that has any.
    """

    centre: FloatArray
    sd: FloatArray
    weight: FloatArray


@dataclass(frozen=True, slots=True)
class _Class:
    """Scatter of groups within a lot, and where the lots of a class lie."""

    within: float
    centre: FloatArray
    spread: float


def lot_reference(
    values: FloatArray, lot: IntArray, *, least_sd: float, fewest: int
) -> LotReference:
    """Work out the iron content of every group's lot from its other groups.

    Parameters
    ----------
    values : array (N,)
        Log of each group's own iron content; NaN where it has none.
    lot : array of int (N,)
    least_sd : float
        One group's values scatter at least this much.
    fewest : int
        Classes with fewer groups than this give no reference.
    """
    others = median_of_others(values, lot)
    everybody = median_of_others(values, np.zeros(len(values), dtype=np.int64))
    within = _within(values, others, least_sd)
    spread = max(LOT_SPREAD, robust_sd(values)) if len(values) else LOT_SPREAD
    class_ = _Class(within, everybody.median, spread)
    shape = (len(values), WAYS)
    found = LotReference(
        np.full(shape, np.nan), np.full(shape, np.nan), np.zeros(shape)
    )
    with np.errstate(all="ignore"):
        sd = MEDIAN_FACTOR * within / np.sqrt(others.count)
    enough = everybody.count >= fewest - 1
    many, none = enough & (others.count >= MANY), enough & (others.count == 0)
    centre = np.where(none, everybody.median, np.nan)
    found.centre[:, 0] = np.where(many, others.median, centre)
    found.sd[:, 0] = np.where(many, sd, np.where(none, spread, np.nan))
    found.weight[:, 0] = many | none
    few = enough & ~many & ~none
    for rows in _lots(lot, few):
        known = rows[np.isfinite(values[rows])]
        _by_consensus(found, values, (rows[few[rows]], known), class_)
    return found


def _within(values: FloatArray, others: LeftOut, least_sd: float) -> float:
    """Scatter of one group's values about its lot, robust and with a prior."""
    known = np.isfinite(values) & (others.count > 0)
    count = others.count[known]
    # The median of the others varies too; of one or two it is their mean.
    of_median = np.where(count < 3, 1.0, MEDIAN_FACTOR**2) / count
    sd = robust_sd((values - others.median)[known] / np.sqrt(1.0 + of_median))
    seen = float(known.sum()) if np.isfinite(sd) else 0.0
    own = seen * max(sd, least_sd) ** 2 if seen else 0.0
    pooled = (USUAL_GROUPS * USUAL_SD**2 + own) / (USUAL_GROUPS + seen)
    return float(max(np.sqrt(pooled), least_sd))


def _lots(lot: IntArray, wanted: FloatArray) -> list[IntArray]:
    """Places of the members of every lot with a wanted member."""
    order = np.argsort(lot, kind="stable")
    ends = np.flatnonzero(np.diff(np.asarray(lot)[order])) + 1
    return [rows for rows in np.split(order, ends) if wanted[rows].any()]


def _by_consensus(
    found: LotReference,
    values: FloatArray,
    rows_and_known: tuple[IntArray, IntArray],
    class_: _Class,
) -> None:
    """Weigh the ways of trusting the others, for some groups of one small lot."""
    rows, known = rows_and_known
    for row in rows.tolist():
        ways = _ways(values[known[known != row]], class_, float(class_.centre[row]))
        total = sum(weight for _, _, weight in ways)
        for k, (centre, sd, weight) in enumerate(ways):
            found.centre[row, k], found.sd[row, k] = centre, sd
            found.weight[row, k] = weight / total


def _ways(
    peers: FloatArray, class_: _Class, lots: float
) -> list[tuple[float, float, float]]:
    """Centre, sd and weight of each way of trusting some of a group's peers."""
    nobody = _trusting_nobody(peers, class_.spread, lots)
    variance = class_.within**2
    centre = peers.copy()
    precision = np.full(len(peers), class_.spread**-2)
    for _ in range(_ROUNDS):
        away = peers[None, :] - centre[:, None]
        sound = (1.0 - LOT_SPOILED) * _normal(away, class_.within)
        trust = sound / (sound + LOT_SPOILED * _spoiled(away, 0.0))
        precision = trust.sum(axis=1) / variance + class_.spread**-2
        pull = (trust * peers).sum(axis=1) / variance + lots * class_.spread**-2
        centre = pull / precision
    sd = 1.0 / np.sqrt(precision)
    away = peers[None, :] - centre[:, None]
    density = (1.0 - LOT_SPOILED) * _normal(away, class_.within)
    density = density + LOT_SPOILED * _spoiled(away, 0.0)
    # Laplace's approximation of the integral about each consensus.
    weight = np.prod(density, axis=1) * _normal(centre - lots, class_.spread)
    weight = weight * sd * np.sqrt(2.0 * np.pi)
    ways = [nobody]
    for k in np.argsort(-weight).tolist():
        if all(abs(centre[k] - one[0]) > _ALIKE * sd[k] for one in ways[1:]):
            ways.append((float(centre[k]), float(sd[k]), float(weight[k])))
    return sorted(ways, key=lambda way: -way[2])[:WAYS]


def _trusting_nobody(
    peers: FloatArray, spread: float, lots: float
) -> tuple[float, float, float]:
    """Return the way in which every peer slipped; most that do stay near their lot."""
    density = _spoiled(peers - lots, spread)
    near = (1.0 - LOT_FAR) * _normal(peers - lots, float(np.hypot(LOT_NEAR_SD, spread)))
    hold = near / density / LOT_NEAR_SD**2
    precision = float(spread**-2 + hold.sum())
    centre = float((lots * spread**-2 + (hold * peers).sum()) / precision)
    return centre, precision**-0.5, float(np.prod(LOT_SPOILED * density))


def _normal(away: FloatArray, sd: float) -> FloatArray:
    return np.asarray(np.exp(-0.5 * (away / sd) ** 2) / (sd * np.sqrt(2.0 * np.pi)))


def _spoiled(away: FloatArray, spread: float) -> FloatArray:
    """Density of the content of a group that slipped, about its lot's."""
    near = _normal(away, float(np.hypot(LOT_NEAR_SD, spread)))
    far = _normal(away, float(np.hypot(LOT_FAR_SD, spread)))
    return (1.0 - LOT_FAR) * near + LOT_FAR * far
