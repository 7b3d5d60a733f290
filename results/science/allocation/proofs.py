"""The smallest proof that lots cannot be dealt as wished."""

import math
from collections.abc import Sequence
from itertools import groupby

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, maximum_flow

from results.science.allocation.reasons import (
    NeighboursClash,
    NoLotLeft,
    NoStation,
    Reason,
    TooFewVials,
)
from results.science.allocation.wishes import Wishes, open_lots, runs
from results.science.arrays import BoolArray


def why_not(wishes: Wishes) -> tuple[Reason, ...]:
    """Return why wishes cannot be met, as far as it is quickly proved.

    Nothing is returned for wishes that can be met, and seldom for others: what only
    neighbours and counts of vials together forbid needs a search.
    """
    seated = wishes.section[wishes.to_seat]
    shut = np.flatnonzero(~wishes.service.any(axis=1))
    stations = tuple(
        NoStation(section) for section in shut.tolist() if section in seated
    )
    left = open_lots(wishes)
    empty = wishes.to_deal & ~left.any(axis=1)
    if stations or empty.any():
        return stations + tuple(
            _no_lot(wishes, group) for group in np.flatnonzero(empty).tolist()
        )
    rows = runs(wishes)
    clash = _shortest_clash(rows, left)
    if clash is not None:
        return (clash,)
    violated = _too_few_vials(rows, left, wishes)
    return () if violated is None else (violated,)


def _no_lot(wishes: Wishes, group: int) -> NoLotLeft:
    barred = ~wishes.allowed[group]
    used_up = ~barred & (wishes.vials == 0)
    beside = ~barred & ~used_up
    return NoLotLeft(group, *(_numbers(which) for which in (barred, beside, used_up)))


def _numbers(which: BoolArray) -> tuple[int, ...]:
    return tuple(np.flatnonzero(which).tolist())


def _open_to(groups: Sequence[int], left: BoolArray) -> tuple[int, ...]:
    return _numbers(np.asarray(left[list(groups)].any(axis=0)))


def _shortest_clash(rows: list[list[int]], left: BoolArray) -> NeighboursClash | None:
    """Return the shortest row of neighbours that no choice of lots keeps apart."""
    best: list[int] | None = None
    for row in rows:
        for start in range(len(row)):
            clash = _clash_from(row[start:], left)
            if clash and (best is None or len(clash) < len(best)):
                best = clash
    if best is None:
        return None
    return NeighboursClash(tuple(best), _open_to(best, left))


def _clash_from(row: list[int], left: BoolArray) -> list[int]:
    """Return how far a row gets before nothing differs; nothing if to its end."""
    reached = left[row[0]]
    for n, group in enumerate(row[1:], start=2):
        # From one lot alone that very lot cannot follow; from two, all can.
        after = left[group] & (~reached | (reached.sum() > 1))
        if not after.any():
            return row[:n]
        if after.sum() > 1 and reached.sum() > 1:
            # The future no longer depends on where the row began.
            return []
        reached = after
    return []


def most_of_a_lot(row: list[int], left: BoolArray, lot: int) -> int:
    """Return how many of a row of neighbours can have a lot, every other one."""
    return sum(
        math.ceil(len(list(stretch)) / 2)
        for is_open, stretch in groupby(left[row, lot].tolist())
        if is_open
    )


def _too_few_vials(
    rows: list[list[int]], left: BoolArray, wishes: Wishes
) -> TooFewVials | None:
    """Return groups with fewer vials than they are many, by a maximum flow.

    From each group one unit flows through the lots of its row of neighbours, which
    hold every other group at most, to the lots, which hold their vials.  What is
    reached from a group whose unit cannot flow violates P. Hall's condition (J. London
    Math. Soc. 10, 1935, 26; by flows: L. R. Ford and D. R. Fulkerson, Canad. J. Math.
    8, 1956, 399).  Of all such groups the one with the smallest proof is taken.
    """
    groups = [group for row in rows for group in row]
    if not groups:
        return None
    arcs: list[tuple[int, int, int]] = []
    node = {group: 2 + n for n, group in enumerate(groups)}
    lot_node = 2 + len(groups)
    size = lot_node + wishes.vials.size
    for row in rows:
        for lot in np.flatnonzero(left[row].any(axis=0)).tolist():
            members = [group for group in row if left[group, lot]]
            arcs += [(node[group], size, 1) for group in members]
            arcs.append((size, lot_node + lot, most_of_a_lot(row, left, lot)))
            size += 1
    arcs += [(0, node[group], 1) for group in groups]
    arcs += [(lot_node + k, 1, n) for k, n in enumerate(wishes.vials.tolist())]
    start, end, room = np.array(arcs, dtype=np.int32).T
    network = csr_array((room, (start, end)), shape=(size, size))
    found = maximum_flow(network, 0, 1)
    if found.flow_value == len(groups):
        return None
    sent = found.flow[[0]].toarray()[0]
    rest = (network - found.flow).tocoo()
    # The way back to the source, and on to the sink, is no way of a unit.
    kept = (rest.data > 0) & (rest.row > 1) & (rest.col > 1)
    ways = csr_array(
        (rest.data[kept], (rest.row[kept], rest.col[kept])), shape=(size, size)
    )
    stuck = [group for group in groups if sent[node[group]] == 0]
    reached = min((_reached(ways, node[group]) for group in stuck), key=len)
    member = tuple(sorted(group for group in groups if node[group] in reached))
    lots = _open_to(member, left)
    by_neighbours = any(lot_node + lot not in reached for lot in lots)
    return TooFewVials(member, lots, len(member) - 1, by_neighbours)


def _reached(ways: csr_array, start: int) -> set[int]:
    order = breadth_first_order(ways, start, return_predecessors=False)
    return set(order.tolist())
