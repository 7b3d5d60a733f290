"""The region in which nearly all lines of a class lie."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from results.summaries.spread import FEWEST_FOR_A_CLAIM, spread_of

# Chi-squared with two degrees of freedom at 0.95: -2 ln 0.05.
_REACH = math.sqrt(-2 * math.log(0.05))
# Further out than this many robust standard deviations a line tells about a
# slip, not about the class.
_FAR = 4.0
_N_CORNERS = 72


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Where 95 % of the pairs lie if they are jointly normal.

    Attributes
    ----------
    x, y : tuple of float
        A closed ring of points.
    n : int
        Number of pairs that it rests on.
    low_x, high_x, low_y, high_y : float
        Four robust standard deviations around the medians.
    """

    x: tuple[float, ...]
    y: tuple[float, ...]
    n: int
    low_x: float
    high_x: float
    low_y: float
    high_y: float

    def reach(self, x: float, y: float) -> float:
        """Return how far out a pair lies: 0 in the middle, 1 on the ring."""
        quarter, half = _N_CORNERS // 4, _N_CORNERS // 2
        middle_x, middle_y = ((ring[0] + ring[half]) / 2 for ring in (self.x, self.y))
        # A pair in terms of two conjugate half-axes of the ring.
        ax, ay = self.x[0] - middle_x, self.y[0] - middle_y
        bx, by = self.x[quarter] - middle_x, self.y[quarter] - middle_y
        area = ax * by - ay * bx
        dx, dy = x - middle_x, y - middle_y
        if area == 0:
            return math.inf
        return math.hypot((dx * by - dy * bx) / area, (ax * dy - ay * dx) / area)


def class_ellipse(x: Sequence[float], y: Sequence[float]) -> Ellipse | None:
    """Return the ellipse of the bulk of some pairs; None where there is no claim.

    Pairs beyond four robust standard deviations of either median are left out, the
    covariance of the others is taken plainly.

    Raises
    ------
    ValueError
        If `x` and `y` differ in length.
    """
    pairs = np.array(list(zip(x, y, strict=True)), dtype=float).reshape(-1, 2)
    spreads = [spread_of(column) for column in pairs.T.tolist()]
    if any(spread is None or not spread.sd for spread in spreads):
        return None
    middle = np.array([spread.median for spread in spreads if spread])
    reach = np.array([_FAR * (spread.sd or 0) for spread in spreads if spread])
    bulk = pairs[(np.abs(pairs - middle) <= reach).all(axis=1)]
    if len(bulk) < FEWEST_FOR_A_CLAIM:
        return None
    lengths, axes = np.linalg.eigh(np.cov(bulk, rowvar=False))
    turn = np.linspace(0, 2 * math.pi, _N_CORNERS + 1)
    circle = np.stack([np.cos(turn), np.sin(turn)])
    scaled = np.sqrt(np.maximum(lengths, 0))[:, None] * circle
    ring = bulk.mean(axis=0)[:, None] + _REACH * (axes @ scaled)
    (low_x, low_y), (high_x, high_y) = middle - reach, middle + reach
    return Ellipse(
        x=tuple(ring[0].tolist()),
        y=tuple(ring[1].tolist()),
        n=len(bulk),
        low_x=float(low_x),
        high_x=float(high_x),
        low_y=float(low_y),
        high_y=float(high_y),
    )
