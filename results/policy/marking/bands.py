"""Bands: how many points a deviation is worth, by steps or along a broken line."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from results.policy.marking.points import HUNDREDTH, rounded

# No band reaches further; exact decimals of larger numbers would not fit.
_BEYOND_ALL = 1e9


class Shape(StrEnum):
    """What holds between two knots."""

    STEP = "step"
    LINEAR = "linear"

    @property
    def label(self) -> str:
        """The shape in words."""
        return {
            Shape.STEP: "in steps",
            Shape.LINEAR: "along straight lines between the knots",
        }[self]


@dataclass(frozen=True, slots=True)
class Knot:
    """Points for a deviation of that many percent."""

    percent: Decimal
    points: Decimal


@dataclass(frozen=True, slots=True)
class Bands:
    """Points against deviation, never rising.

    Attributes
    ----------
    knots : tuple of Knot
        Percent rising, points not rising. By steps, a knot's points hold up to and
        including its percent.
    beyond : Decimal
        Points past the last knot.
    """

    shape: Shape
    knots: tuple[Knot, ...]
    beyond: Decimal

    def points(self, percent: float) -> Decimal:
        """Return the points for a deviation, percent, of either sign.

        The deviation counts to the hundredth of a percent, as it is printed: nobody
        loses a band to a digit that nobody sees.

        Examples
        --------
        >>> knots = (Knot(Decimal(2), Decimal(10)), Knot(Decimal(4), Decimal(5)))
        >>> Bands(Shape.STEP, knots, Decimal(1)).points(2.004)
        Decimal('10.00')
        >>> Bands(Shape.LINEAR, knots, Decimal(1)).points(-3)
        Decimal('7.50')
        """
        size = to_hundredth(percent)
        below: Knot | None = None
        for knot in self.knots:
            if size <= knot.percent:
                return rounded(self._between(below, knot, size))
            below = knot
        return rounded(self.beyond)

    def _between(self, below: Knot | None, above: Knot, size: Decimal) -> Decimal:
        if self.shape is Shape.STEP or below is None:
            return above.points
        share = (size - below.percent) / (above.percent - below.percent)
        return below.points + share * (above.points - below.points)


def to_hundredth(percent: float) -> Decimal:
    """Return the size of a deviation to the hundredth of a percent.

    Examples
    --------
    >>> to_hundredth(-2.3456)
    Decimal('2.35')
    """
    return Decimal(repr(min(abs(float(percent)), _BEYOND_ALL))).quantize(HUNDREDTH)
