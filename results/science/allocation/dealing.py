"""Dealing lots to groups: every rule kept, and every lot in every section alike."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, hstack, vstack

from results.science.allocation.reasons import NothingFits, Reason, Undecided
from results.science.allocation.wishes import NONE, Wishes, neighbours, open_lots
from results.science.arrays import BoolArray, FloatArray, IntArray

# What one group more than its share of a lot costs, in a section and in all, against
# the dice that choose among equally even ways (0 to 1 each).
_OVER_SHARE = 10.0
# A way this near the best is good enough; the exchange of pairs goes on from it.
_GAP = 0.5
# Steps of the search, not seconds: the same wishes and dice give the same plan.
_MOST_NODES = 5000
# The clock is only for wishes so hard that a page would wait for ever.
_LONGEST_S, _GLANCE_S = 15.0, 2.0
_INFEASIBLE, _FOUND = 2, 0


def deal(wishes: Wishes, rng: Generator) -> IntArray | tuple[Reason, ...]:
    """Give each group a lot that its neighbours do not have, within the free vials.

    A whole-number programme (HiGHS: Q. Huangfu and J. A. J. Hall, Math. Prog. Comp. 10,
    2018, 119): one choice for each group, at most the free vials of each lot, at most
    one of two neighbours.  It prefers ways in which no lot has more than its share in
    a section, or in all.

    Returns
    -------
    array of int (G,), or tuple of Reason
    """
    everybody = np.ones(wishes.section.size, dtype=np.bool_)
    choices = _Choices(wishes, everybody)
    if not choices.group.size:
        return wishes.lot.copy()
    status, chosen = choices.even(rng)
    if chosen is not None:
        lot = wishes.lot.copy()
        lot[choices.group[chosen]] = choices.lot[chosen]
        return lot
    if status != _INFEASIBLE:
        return (Undecided(),)
    return (_smallest_sections(wishes),)


def _smallest_sections(wishes: Wishes) -> NothingFits:
    """Leave out section after section as long as the others cannot be served."""
    kept = np.unique(wishes.section[wishes.to_deal]).tolist()
    for section in tuple(kept):
        others = [one for one in kept if one != section]
        status, _ = _Choices(wishes, np.isin(wishes.section, others)).any_way()
        if status == _INFEASIBLE:
            kept = others
    return NothingFits(tuple(kept))


@dataclass(frozen=True, slots=True)
class _Shares:
    """Counts of chosen lots that should not exceed a share."""

    of: IntArray
    share: FloatArray


class _Choices:
    """One variable, 0 or 1, for each lot that is open to a group."""

    def __init__(self, wishes: Wishes, among: BoolArray) -> None:
        self._wishes = wishes
        left = open_lots(wishes) & among[:, np.newaxis]
        self.group, self.lot = (part.astype(np.int64) for part in np.nonzero(left))
        self._number = np.full(left.shape, NONE)
        self._number[self.group, self.lot] = np.arange(self.group.size)
        self._dealt = np.flatnonzero(wishes.to_deal & among)

    def any_way(self) -> tuple[int, BoolArray | None]:
        """Look for any way at all; return how that ended, and what was chosen."""
        return self._solve(np.zeros(self.group.size), (), _GLANCE_S)

    def even(self, rng: Generator) -> tuple[int, BoolArray | None]:
        """Look for a way that gives every lot its share; see `deal`."""
        wishes, lots = self._wishes, self._wishes.vials.size
        members = np.bincount(wishes.section, minlength=len(wishes.service))
        in_section = np.ceil(members / lots)
        in_all = np.full(lots, np.ceil(wishes.section.size / lots))
        kept = np.flatnonzero(wishes.lot != NONE)
        held = np.zeros((len(wishes.service), lots))
        np.add.at(held, (wishes.section[kept], wishes.lot[kept]), 1)
        shares = (
            _Shares(
                wishes.section[self.group] * lots + self.lot,
                (in_section[:, np.newaxis] - held).ravel(),
            ),
            _Shares(self.lot, in_all - held.sum(axis=0)),
        )
        return self._solve(rng.random(self.group.size), shares)

    def _solve(
        self,
        cost: FloatArray,
        shares: tuple[_Shares, ...],
        longest_s: float = _LONGEST_S,
    ) -> tuple[int, BoolArray | None]:
        n, vials = self.group.size, self._wishes.vials
        if not self._dealt.size:
            return _FOUND, np.zeros(n, dtype=np.bool_)
        over = sum(one.share.size for one in shares)
        each, pairs = self._one_each(), self._pairs()
        rows = [each, _sums(self.lot, vials.size), pairs]
        low = [
            np.ones(self._dealt.size),
            np.zeros(vials.size),
            np.zeros(pairs.shape[0]),
        ]
        high = [np.ones(self._dealt.size), vials, np.ones(pairs.shape[0])]
        if shares:
            rows.append(vstack([_sums(one.of, one.share.size) for one in shares]))
            low.append(np.full(over, -np.inf))
            high.append(np.concatenate([one.share for one in shares]))
        matrix = vstack(rows)
        top = matrix.shape[0] - over
        slack = csr_array(
            (-np.ones(over), (top + np.arange(over), np.arange(over))),
            shape=(matrix.shape[0], over),
        )
        found = milp(
            np.concatenate([cost, np.full(over, _OVER_SHARE)]),
            constraints=LinearConstraint(
                csr_array(hstack([matrix, slack])),
                np.concatenate(low),
                np.concatenate(high),
            ),
            integrality=np.concatenate([np.ones(n), np.zeros(over)]),
            bounds=Bounds(0.0, np.concatenate([np.ones(n), np.full(over, np.inf)])),
            options={
                "mip_rel_gap": _GAP,
                "node_limit": _MOST_NODES,
                "time_limit": longest_s,
            },
        )
        chosen = None if found.x is None else found.x[:n] > 0.5
        return int(found.status), chosen

    def _one_each(self) -> csr_array:
        place = np.searchsorted(self._dealt, self.group)
        return _sums(place, self._dealt.size)

    def _pairs(self) -> csr_array:
        """Return one row for each lot open to two neighbours."""
        beside = neighbours(self._wishes.section, self._wishes.place)
        one, other = self._number[beside[:, 0]], self._number[beside[:, 1]]
        both = (one != NONE) & (other != NONE)
        ends = np.stack([one[both], other[both]])
        rows = np.tile(np.arange(ends.shape[1]), 2)
        return csr_array(
            (np.ones(ends.size), (rows, ends.ravel())),
            shape=(ends.shape[1], self.group.size),
        )


def _sums(row: IntArray, n_rows: int) -> csr_array:
    """Return the matrix that adds variables up by row."""
    columns = np.arange(row.size)
    return csr_array((np.ones(row.size), (row, columns)), shape=(n_rows, row.size))
