"""In which order the levels of crossed factors are solved for."""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from results.science.arrays import BoolArray, IntArray
from results.science.effects.design import Factor

#: Factors with more levels than this are split into blocks, narrower ones border them.
WIDE = 100


@dataclass(frozen=True, slots=True)
class Arrangement:
    """The largest factor first, then blocks, then the border.

    "Columns" are those of all factors but the largest, and of the overall level.

    Attributes
    ----------
    main : array of int (N,)
        Codes of the largest factor.
    n_main, n_rest : int
        Its levels, and the columns.
    columns : list of array of int (N,)
        The columns in which each row has a one.
    is_main : array of bool (P + 1,)
        Which of all levels, factor after factor and the overall level last, are the
        largest factor's.
    place : array of int (n_rest,)
        Column of each of the other levels, in the same order.
    blocks : list of slice
        Columns that are linked through the largest factor.
    met : list of array of int
        By block, the levels of the largest factor that link it.
    border : slice
        The columns that every block may be linked with.
    """

    main: IntArray
    n_main: int
    n_rest: int
    columns: list[IntArray]
    is_main: BoolArray
    place: IntArray
    blocks: list[slice]
    met: list[IntArray]
    border: slice


def arrange(factors: tuple[Factor, ...]) -> Arrangement:
    """Arrange some factors, at least one."""
    largest = max(range(len(factors)), key=lambda k: len(factors[k]))
    main = factors[largest]
    others = [one for k, one in enumerate(factors) if k != largest]
    wide = [one for one in others if len(one) > WIDE]
    n_wide = sum(len(one) for one in wide)
    block_of_wide, block_of_main = _linked(main, wide, n_wide)
    order = np.argsort(np.argsort(block_of_wide, kind="stable"), kind="stable")
    n_rest = sum(len(one) for one in others) + 1
    place, columns = [], []
    used_wide, used = 0, n_wide
    for one in others:
        if len(one) > WIDE:
            own = order[used_wide : used_wide + len(one)]
            used_wide += len(one)
        else:
            own = np.arange(used, used + len(one))
            used += len(one)
        place.append(own)
        columns.append(own[one.codes])
    place.append(np.array([used]))
    columns.append(np.full(main.codes.size, used))
    ends = np.cumsum(np.bincount(block_of_wide)).tolist()
    return Arrangement(
        main=main.codes,
        n_main=len(main),
        n_rest=n_rest,
        columns=columns,
        is_main=np.array(
            [k == largest for k, one in enumerate(factors) for _ in range(len(one))]
            + [False]
        ),
        place=np.concatenate(place),
        blocks=[slice(a, b) for a, b in zip([0, *ends[:-1]], ends, strict=False)],
        met=[np.flatnonzero(block_of_main == block) for block in range(len(ends))],
        border=slice(n_wide, n_rest),
    )


def _linked(main: Factor, wide: list[Factor], n_wide: int) -> tuple[IntArray, IntArray]:
    """Return the block of each wide factor's level, and of each of the main one's."""
    if not wide:
        return np.zeros(0, dtype=np.int64), np.zeros(len(main), dtype=np.int64)
    starts = np.cumsum([0, *(len(one) for one in wide[:-1])])
    ends = np.concatenate(
        [start + one.codes for start, one in zip(starts, wide, strict=True)]
    )
    hubs = np.tile(n_wide + main.codes, len(wide))
    size = n_wide + len(main)
    graph = coo_array((np.ones(ends.size), (ends, hubs)), shape=(size, size))
    label = connected_components(graph, directed=False)[1].astype(np.int64)
    return label[:n_wide], label[n_wide:]
