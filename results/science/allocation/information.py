"""How much a layout will tell: the information matrix of the crossed model."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import FloatArray, IntArray

#: Standard deviations in percent.  Of one group's log recovery, and of its log slope,
#: about its levels; between stations, sections and lots; of a whole class's level.
#: Simulated classes with usual slips show these; a course's own may differ.
RECOVERY_SD, SLOPE_SD = 1.0, 0.9
STATION_SD, SECTION_SD, LOT_SD = 0.6, 0.4, 0.3
CLASS_SD = 1.0


@dataclass(frozen=True, slots=True)
class Model:
    """The crossed model of log recoveries: class, sections, stations, lots.

    Its equations are C. R. Henderson's, X'X / σ² with one over the variance of every
    level added to the diagonal; they are the information of a plan about the effects
    when these are random, and the logarithm of their determinant is the criterion of
    Bayesian D-optimality (K. Chaloner and I. Verdinelli, Statist. Sci. 10, 1995, 273).

    Attributes
    ----------
    sections, stations, lots : int
        Numbers of levels.
    """

    sections: int
    stations: int
    lots: int

    @property
    def size(self) -> int:
        """Number of equations."""
        return 1 + self.sections + self.stations + self.lots

    def columns(self, section: IntArray, station: IntArray, lot: IntArray) -> IntArray:
        """Return the four equations in which each group stands, shape (..., 4)."""
        return np.stack(
            [
                np.zeros_like(section),
                1 + section,
                1 + self.sections + station,
                1 + self.sections + self.stations + lot,
            ],
            axis=-1,
        )

    def information(
        self, section: IntArray, station: IntArray, lot: IntArray
    ) -> FloatArray:
        """Return the matrix of some groups, in 1 / percent²."""
        at = self.columns(section, station, lot)
        matrix = np.diag(self._precision())
        first, second = np.repeat(at, 4, axis=-1), np.tile(at, 4)
        np.add.at(matrix, (first.ravel(), second.ravel()), RECOVERY_SD**-2)
        return matrix

    def _precision(self) -> FloatArray:
        parts = (
            (1, CLASS_SD),
            (self.sections, SECTION_SD),
            (self.stations, STATION_SD),
            (self.lots, LOT_SD),
        )
        return np.concatenate([np.full(n, sd**-2) for n, sd in parts])

    def bound(self, n_groups: int) -> float:
        """Return what the criterion of no layout of so many groups exceeds.

        Once the class's level is eliminated, the determinant is at most the product of
        those of the blocks of sections, stations and lots (E. Fischer's inequality: R.
        A. Horn and C. R. Johnson, Matrix Analysis, theorem 7.8.5, from memory), and
        each of these is largest for levels of equal size, being concave in them and
        the same in every order of them.
        """
        weight = n_groups * RECOVERY_SD**-2
        middle = CLASS_SD**-2 + weight
        total = float(np.log(middle))
        for n, sd in (
            (self.sections, SECTION_SD),
            (self.stations, STATION_SD),
            (self.lots, LOT_SD),
        ):
            own = weight / n + sd**-2
            # diag(own) less a matrix of equal elements: one eigenvalue is lowered.
            shared = (weight / n) ** 2 * n / middle
            total += (n - 1) * float(np.log(own)) + float(np.log(own - shared))
        return total


def log_determinant(matrix: FloatArray) -> float:
    """Return the logarithm of a positive determinant."""
    return float(np.linalg.slogdet(matrix)[1])
