"""Mixed-model equations of crossed factors, solved piece by piece.

C. R. Henderson, Biometrics 31 (1975) 423.  The factor with most levels has a
diagonal block and is eliminated first.  Of the others, the wide ones are then linked
only where they met: in a course whose sections stay in their room, each room is a
small dense block.  What is left is a narrow border: the overall level, lots, weeks.
Time and memory grow with the number of rows as long as the rooms do not grow.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.sparse import csr_array, diags_array

from results.science.arrays import FloatArray, IntArray
from results.science.effects.arrangement import arrange
from results.science.effects.design import Factor


@dataclass(frozen=True, slots=True)
class Solution:
    """Effects of all levels, one factor after another, the overall level last.

    Attributes
    ----------
    effect, variance : array (P + 1,)
        Best linear unbiased predictions, and their prediction error variances: the
        diagonal of the inverse of the equations.
    """

    effect: FloatArray
    variance: FloatArray


@dataclass(frozen=True, slots=True)
class _Inverse:
    """The inverse of the equations without the largest factor: blocks and border."""

    blocks: list[FloatArray]
    bordered: list[FloatArray]
    border: FloatArray


class _Pattern:
    """A sparse matrix of weighted counts whose places stay while weights change."""

    def __init__(
        self, pairs: list[tuple[IntArray, IntArray]], shape: tuple[int, int]
    ) -> None:
        keys = np.concatenate([row * shape[1] + col for row, col in pairs])
        places, self._inverse = np.unique(keys, return_inverse=True)
        self._repeats = len(pairs)
        self._columns = places % shape[1]
        self._ends = np.searchsorted(places, np.arange(shape[0] + 1) * shape[1])
        self._shape = shape

    def filled(self, weight: FloatArray) -> csr_array:
        data = np.bincount(
            self._inverse, np.tile(weight, self._repeats), self._columns.size
        )
        return csr_array((data, self._columns, self._ends), shape=self._shape)


class Equations:
    """The structure of the equations of some factors, for weights that change.

    Parameters
    ----------
    factors : tuple of Factor
        At least one.
    """

    def __init__(self, factors: tuple[Factor, ...]) -> None:
        self._order = order = arrange(factors)
        self._cross = _Pattern(
            [(order.main, column) for column in order.columns],
            (order.n_main, order.n_rest),
        )
        self._among = _Pattern(
            [(first, second) for first in order.columns for second in order.columns],
            (order.n_rest, order.n_rest),
        )

    def solve(
        self, weight: FloatArray, y: FloatArray, precision: FloatArray
    ) -> Solution:
        """Solve the equations.

        Parameters
        ----------
        weight : array (N,)
            Robustness weight over residual variance.
        y : array (N,)
        precision : array (P + 1,)
            One over the variance of each level; above zero but for the overall
            level, the last.
        """
        order = self._order
        wy = weight * y
        diagonal = _sums(order.main, weight, order.n_main)
        diagonal += precision[order.is_main]
        rhs_main = _sums(order.main, wy, order.n_main)
        cross = self._cross.filled(weight)
        rest = np.zeros(order.n_rest)
        for column in order.columns:
            rest += _sums(column, wy, order.n_rest)
        rest -= cross.T @ (rhs_main / diagonal)
        prior = np.empty(order.n_rest)
        prior[order.place] = precision[~order.is_main]
        scaled = diags_array(1.0 / diagonal) @ cross
        reduced = self._among.filled(weight) - cross.T @ scaled + diags_array(prior)
        inverse = self._invert(csr_array(reduced))
        return self._back(
            cross, diagonal, rhs_main, self._times(inverse, rest), inverse
        )

    def _invert(self, reduced: csr_array) -> _Inverse:
        order = self._order
        border = reduced[order.border, order.border].toarray()
        blocks, bordered = [], []
        for own in order.blocks:
            block = _inverse_of(reduced[own, own].toarray())
            link = reduced[own, order.border].toarray()
            blocks.append(block)
            bordered.append(block @ link)
            border = border - link.T @ bordered[-1]
        return _Inverse(blocks, bordered, _inverse_of(border))

    def _times(self, inverse: _Inverse, rhs: FloatArray) -> FloatArray:
        """Return the inverse times the right-hand side."""
        order = self._order
        tail = rhs[order.border].copy()
        for own, link in zip(order.blocks, inverse.bordered, strict=True):
            tail -= link.T @ rhs[own]
        solved = np.empty(order.n_rest)
        solved[order.border] = inverse.border @ tail
        for own, block, link in zip(
            order.blocks, inverse.blocks, inverse.bordered, strict=True
        ):
            solved[own] = block @ rhs[own] - link @ solved[order.border]
        return solved

    def _back(
        self,
        cross: csr_array,
        diagonal: FloatArray,
        rhs_main: FloatArray,
        solved: FloatArray,
        inverse: _Inverse,
    ) -> Solution:
        """Put the largest factor back, with all prediction error variances."""
        order = self._order
        variance = np.empty(order.n_rest)
        variance[order.border] = np.diag(inverse.border)
        spread = -cross[:, order.border].toarray()
        among = np.zeros(order.n_main)
        for own, met, block, link in zip(
            order.blocks, order.met, inverse.blocks, inverse.bordered, strict=True
        ):
            variance[own] = np.diag(block) + np.sum((link @ inverse.border) * link, 1)
            part = cross[met][:, own]
            spread[met] += part @ link
            among[met] += np.asarray(part.multiply(part @ block).sum(axis=1)).ravel()
        among += np.sum((spread @ inverse.border) * spread, axis=1)
        effect, error = np.empty(order.is_main.size), np.empty(order.is_main.size)
        effect[order.is_main] = (rhs_main - cross @ solved) / diagonal
        error[order.is_main] = 1.0 / diagonal + among / diagonal**2
        effect[~order.is_main] = solved[order.place]
        error[~order.is_main] = variance[order.place]
        return Solution(effect, error)


def _sums(codes: IntArray, values: FloatArray, size: int) -> FloatArray:
    return np.asarray(np.bincount(codes, values, size), dtype=np.float64)


def _inverse_of(matrix: FloatArray) -> FloatArray:
    lower = cho_factor(matrix, lower=True, check_finite=False)
    return np.asarray(
        cho_solve(lower, np.eye(len(matrix)), check_finite=False, overwrite_b=True)
    )
