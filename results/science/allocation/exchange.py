"""Exchanging lots and stations between groups until the plan tells no more.

The exchange algorithm of optimal design (V. V. Fedorov, Theory of Optimal
Experiments, 1972; R. D. Cook and C. J. Nachtsheim, Technometrics 22, 1980, 315), on
exchanges drawn at random: with information M and rows V that leave or come, the
determinant changes by the factor det(I + D V' M⁻¹ V), a four by four determinant.
"""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from results.science.allocation.information import RECOVERY_SD, Model
from results.science.allocation.seating import most_at_once
from results.science.allocation.wishes import NONE, Wishes, neighbours
from results.science.arrays import BoolArray, FloatArray, IntArray

# Exchanges drawn in a round, those of them looked at again, and rounds; after so many
# rounds without a gain nothing more is to be expected.
_DRAWN, _BEST, _MOST_ROUNDS, _PATIENCE = 1200, 24, 50, 3
# The factor of the determinant below which an exchange is not worth the rounding.
_LEAST_GAIN = 1e-7
# Left-out rows count once negative, new ones positive.
_SIGN = np.array([-1.0, -1.0, 1.0, 1.0]) * RECOVERY_SD**-2


def improve(
    wishes: Wishes, lot: IntArray, station: IntArray, rng: Generator
) -> tuple[IntArray, IntArray]:
    """Return lots and stations after exchanges that keep every rule.

    Parameters
    ----------
    lot, station : array of int (G,)
        A plan that keeps the rules; -1 for groups without a station, which tell
        nothing.
    """
    desk = _Desk(wishes, lot.copy(), station.copy())
    without_gain = 0
    for _ in range(_MOST_ROUNDS):
        gained = False
        for of_lots in (True, False):
            found = desk.draw(rng, of_lots=of_lots)
            gained = desk.take_best(found) or gained
        without_gain = 0 if gained else without_gain + 1
        if without_gain >= _PATIENCE:
            break
    return desk.lot, desk.station


@dataclass(frozen=True, slots=True)
class _Exchanges:
    """C exchanges: two groups swap a lot or a station, or one takes another.

    Attributes
    ----------
    first, second : array of int (C,)
        Groups; the second of one that takes is -1.
    level : array of int (C,)
        The lot or station that the first gets.
    of_lots : bool
    """

    first: IntArray
    second: IntArray
    level: IntArray
    of_lots: bool

    def some(self, which: IntArray | BoolArray) -> "_Exchanges":
        return _Exchanges(
            self.first[which], self.second[which], self.level[which], self.of_lots
        )


class _Desk:
    """A plan under way, with the inverse of its information."""

    def __init__(self, wishes: Wishes, lot: IntArray, station: IntArray) -> None:
        self.wishes, self.lot, self.station = wishes, lot, station
        sections, stations = wishes.service.shape
        self.model = Model(sections, stations, wishes.vials.size)
        known = station != NONE
        self.dealt = np.flatnonzero(wishes.to_deal)
        # Groups without a station tell nothing, with whatever lot.
        self.telling = np.flatnonzero(wishes.to_deal & known)
        self.seated = np.flatnonzero(wishes.to_seat & known)
        self.most = most_at_once(wishes)
        self.beside = _beside(wishes)
        self._invert()

    def _invert(self) -> None:
        known = self.station != NONE
        self.inverse = np.linalg.inv(
            self.model.information(
                self.wishes.section[known], self.station[known], self.lot[known]
            )
        )

    @property
    def spare(self) -> IntArray:
        """Free vials that the plan leaves of each lot."""
        used = np.bincount(
            self.lot[self.dealt], minlength=self.wishes.vials.size
        ).astype(np.int64)
        return np.asarray(self.wishes.vials - used)

    def draw(self, rng: Generator, *, of_lots: bool) -> _Exchanges:
        groups = self.telling if of_lots else self.seated
        now = self.lot if of_lots else self.station
        n_levels = self.model.lots if of_lots else self.model.stations
        if not groups.size:
            return _Exchanges(groups, groups, groups, of_lots)
        first = rng.choice(groups, _DRAWN)
        second = rng.choice(groups, _DRAWN)
        swaps = np.arange(_DRAWN) % 2 == 0
        level = np.where(swaps, now[second], rng.integers(0, n_levels, _DRAWN))
        second = np.where(swaps, second, NONE)
        drawn = _Exchanges(first, second, level, of_lots)
        return drawn.some(self._is_legal(drawn))

    def _is_legal(self, drawn: _Exchanges) -> BoolArray:
        return self._may_deal(drawn) if drawn.of_lots else self._may_seat(drawn)

    def _may_deal(self, drawn: _Exchanges) -> BoolArray:
        first, second, level = drawn.first, drawn.second, drawn.level
        swaps = second != NONE
        given = self.lot[first]
        fits = (
            (given != level)
            & self.wishes.allowed[first, level]
            & self._is_apart(first, second, level)
        )
        back = self.wishes.allowed[second, given] & self._is_apart(second, first, given)
        same = self.lot[second] == level
        return np.asarray(fits & np.where(swaps, back & same, self.spare[level] > 0))

    def _is_apart(self, group: IntArray, other: IntArray, lot: IntArray) -> BoolArray:
        """Whether a lot differs from the neighbours', the other party left out."""
        beside = self.beside[group]
        theirs = np.where(beside == NONE, NONE, self.lot[beside])
        clash = (theirs == lot[:, np.newaxis]) & (beside != other[:, np.newaxis])
        return np.asarray(~clash.any(axis=1))

    def _may_seat(self, drawn: _Exchanges) -> BoolArray:
        first, second, level = drawn.first, drawn.second, drawn.level
        section, service = self.wishes.section, self.wishes.service
        given, here = self.station[first], section[first]
        swaps, there = second != NONE, section[second]
        load = np.zeros(service.shape, dtype=np.int64)
        known = self.station != NONE
        np.add.at(load, (section[known], self.station[known]), 1)
        room = load[here, level] < self.most[here]
        back = service[there, given] & (load[there, given] < self.most[there])
        same = self.station[second] == level
        # Within a section a swap crowds nothing.
        swap = same & ((here == there) | (room & back))
        fits = (given != level) & service[here, level]
        return np.asarray(fits & np.where(swaps, swap, room))

    def take_best(self, drawn: _Exchanges) -> bool:
        """Take the best exchanges one after another; return whether any helped."""
        order = np.argsort(-self._gains(drawn), kind="stable")[:_BEST]
        helped = False
        for number in order.tolist():
            one = drawn.some(np.array([number]))
            if self._is_legal(one)[0] and self._gains(one)[0] > _LEAST_GAIN:
                self._take(one)
                helped = True
        if helped:
            self._invert()
        return helped

    def _rows(self, drawn: _Exchanges) -> IntArray:
        """Return the equations of rows that leave and come, shape (C, 4, 4)."""
        lot, station = self.lot, self.station
        first, second, section = drawn.first, drawn.second, self.wishes.section
        # One that takes has no second; the first stands for it, unchanged.
        alone = second == NONE
        second = np.where(alone, (first + 1) % lot.size, second)
        old = [
            self.model.columns(section[g], station[g], lot[g]) for g in (first, second)
        ]
        of = lot if drawn.of_lots else station
        back = np.where(alone, of[second], of[first])
        new = []
        for group, level in ((first, drawn.level), (second, back)):
            now = (station[group], level) if drawn.of_lots else (level, lot[group])
            new.append(self.model.columns(section[group], *now))
        return np.stack([*old, *new], axis=1)

    def _gains(self, drawn: _Exchanges) -> FloatArray:
        """Return the logarithm of each exchange's factor of the determinant."""
        if not drawn.first.size:
            return np.zeros(0)
        at = self._rows(drawn)
        inner = self.inverse[
            at[:, :, np.newaxis, :, np.newaxis], at[:, np.newaxis, :, np.newaxis, :]
        ].sum(axis=(-2, -1))
        factor = np.linalg.det(np.eye(4) + _SIGN[:, np.newaxis] * inner)
        return np.asarray(np.log(np.maximum(factor, 1e-300)))

    def _take(self, one: _Exchanges) -> None:
        at = self._rows(one)[0]
        v = np.zeros((self.inverse.shape[0], 4))
        np.add.at(v, (at, np.arange(4)[:, np.newaxis]), 1.0)
        spread = self.inverse @ v
        core = np.linalg.inv(np.eye(4) + _SIGN[:, np.newaxis] * (v.T @ spread))
        self.inverse = self.inverse - spread @ (core * _SIGN) @ spread.T
        of = self.lot if one.of_lots else self.station
        first, second = int(one.first[0]), int(one.second[0])
        if second != NONE:
            of[second] = of[first]
        of[first] = one.level[0]


def _beside(wishes: Wishes) -> IntArray:
    """Return the neighbours of each group, shape (G, 2), -1 where there is none."""
    found = np.full((wishes.section.size, 2), NONE, dtype=np.int64)
    pairs = neighbours(wishes.section, wishes.place)
    found[pairs[:, 0], 1] = pairs[:, 1]
    found[pairs[:, 1], 0] = pairs[:, 0]
    return found
