"""Who was where: the levels of every factor, row by row."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from results.science.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor, such as the station, over N rows.

    Attributes
    ----------
    name : str
    levels : tuple
        The L labels in ascending order.
    codes : array of int (N,)
        Place of each row's label in ``levels``.
    count : array of int (L,)
        Rows of each level.
    declared_sd : array (L,) or None
        Spread of the levels where it is declared (a lot's assay), not estimated.
    """

    name: str
    levels: tuple[Any, ...]
    codes: IntArray
    count: IntArray
    declared_sd: FloatArray | None = None

    def __len__(self) -> int:
        return len(self.levels)


#: One number for all levels, or one for each label.
Declared = float | Mapping[Any, float]


def factor(name: str, labels: ArrayLike, declared_sd: Declared | None = None) -> Factor:
    """Make a factor of the rows' labels.

    Raises
    ------
    ValueError
        If a declared spread is not above zero.

    Examples
    --------
    >>> station = factor("station", ["S2", "S1", "S2"])
    >>> station.levels, station.codes.tolist(), station.count.tolist()
    (('S1', 'S2'), [1, 0, 1], [1, 2])
    """
    levels, codes, count = np.unique(
        np.asarray(labels), return_inverse=True, return_counts=True
    )
    names = tuple(levels.tolist())
    declared = None
    if declared_sd is not None:
        declared = np.array(
            [declared_sd[n] for n in names]
            if isinstance(declared_sd, Mapping)
            else [declared_sd] * len(names),
            dtype=np.float64,
        )
        if not np.all(declared > 0.0):
            message = f"The declared spread of every {name} must be above zero."
            raise ValueError(message)
    return Factor(name, names, codes.astype(np.int64), count.astype(np.int64), declared)


def factors_of(
    labels: Mapping[str, ArrayLike],
    rows: NDArray[np.bool_],
    declared_sd: Mapping[str, Declared],
) -> tuple[Factor, ...]:
    """Make the factors of the rows that count.

    Raises
    ------
    ValueError
        If the labels of a factor are not as many as the rows.
    """
    made = []
    for name, column in labels.items():
        values = np.asarray(column)
        if values.shape != rows.shape:
            message = f"Every row needs its {name}: {rows.size} rows, {values.size}."
            raise ValueError(message)
        made.append(factor(name, values[rows], declared_sd.get(name)))
    return tuple(made)


def level_medians(values: FloatArray, one: Factor) -> FloatArray:
    """Median of each level's values, shape (L,)."""
    by_value = np.argsort(values)
    # Small codes are sorted by their digits, in linear time.
    small = one.codes.astype(np.uint16 if len(one) <= 2**16 else np.int64)
    ordered = values[by_value[np.argsort(small[by_value], kind="stable")]]
    start = np.cumsum(one.count) - one.count
    low = ordered[start + (one.count - 1) // 2]
    return np.asarray(0.5 * (low + ordered[start + one.count // 2]))
