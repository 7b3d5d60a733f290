"""Mixed-model equations of a class of ordinary size, solved as one full matrix.

A few hundred rows and a hundred levels fit into one small matrix; splitting it up, as
`equations` does for large courses, would take longer than solving it.
"""

import numpy as np
from scipy.linalg.lapack import dpotrf, dtrtri

from results.science.arrays import FloatArray
from results.science.effects.design import Factor
from results.science.effects.equations import Equations, Solution

#: Levels of all factors together up to which one full matrix is quicker.  Linear
#: algebra on larger ones is shared among threads, which wait for one another where
#: the machine is busy.
MOST_LEVELS = 120


class SmallEquations:
    """The structure of the equations of some factors, for weights that change.

    C. R. Henderson, Biometrics 31 (1975) 423, written out.

    Parameters
    ----------
    factors : tuple of Factor
        At least one.
    """

    def __init__(self, factors: tuple[Factor, ...]) -> None:
        starts = np.cumsum([0, *(len(one) for one in factors)])
        overall = np.full(factors[0].codes.size, starts[-1])
        columns = [
            start + one.codes for start, one in zip(starts, factors, strict=False)
        ]
        columns.append(overall)
        self._size = int(starts[-1]) + 1
        self._columns = np.concatenate(columns)
        self._repeats = len(columns)
        self._pairs = np.concatenate(
            [first * self._size + second for first in columns for second in columns]
        )

    def solve(
        self, weight: FloatArray, y: FloatArray, precision: FloatArray
    ) -> Solution:
        """Solve the equations; arguments as in `Equations.solve`.

        Raises
        ------
        numpy.linalg.LinAlgError
            If the equations have no unique solution.
        """
        size = self._size
        sums = np.bincount(self._pairs, np.tile(weight, self._repeats**2), size**2)
        matrix = np.asarray(sums, dtype=np.float64).reshape(size, size)
        matrix[np.diag_indices(size)] += precision
        rhs = np.bincount(self._columns, np.tile(weight * y, self._repeats), size)
        # The lower half of its Fortran transpose is this symmetric matrix's upper.
        factor, failed = dpotrf(matrix.T, lower=True, overwrite_a=True)
        if failed:
            message = "The equations of the crossed model have no unique solution."
            raise np.linalg.LinAlgError(message)
        # Not the inverse itself, whose routine starts threads for any size.
        root, _ = dtrtri(factor, lower=True, overwrite_c=True)
        variance = np.einsum("ij,ij->j", root, root)
        effect = root.T @ (root @ rhs)
        return Solution(effect, variance)


def equations_of(factors: tuple[Factor, ...]) -> Equations | SmallEquations:
    """Return the equations of some factors in the form that is solved sooner."""
    small = sum(len(one) for one in factors) <= MOST_LEVELS
    return SmallEquations(factors) if small else Equations(factors)
