"""What is asked of a plan: groups in their places, lots with vials, stations."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import BoolArray, IntArray

#: Stands for a place, a lot or a station that is not known or not given yet.
NONE = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """G groups in S sections, L lots, K stations; everything by number.

    Attributes
    ----------
    section : array of int (G,)
    place : array of int (G,)
        Place along the benches; -1 where it is not known.  Groups of a section at
        consecutive places are neighbours.
    allowed : array of bool (G, L)
        Lots that a group may get.  Of groups that keep a lot it is not looked at.
    vials : array of int (L,)
        Free vials of each lot.
    service : array of bool (S, K)
        Stations that a section may use.
    lot, station : array of int (G,)
        What a group keeps; -1 for what is to be found.
    wants_station : array of bool (G,)
        Whether a group without a station is to get one.

    Raises
    ------
    ValueError
        If arrays do not fit together, or a number is out of range.
    """

    section: IntArray
    place: IntArray
    allowed: BoolArray
    vials: IntArray
    service: BoolArray
    lot: IntArray
    station: IntArray
    wants_station: BoolArray

    def __post_init__(self) -> None:
        groups = self.section.size
        (sections, stations), (lots,) = self.service.shape, self.vials.shape
        fits = (
            self.section.shape
            == self.place.shape
            == self.lot.shape
            == self.station.shape
            == self.wants_station.shape
            == (groups,)
        ) and self.allowed.shape == (groups, lots)
        if not fits:
            message = "Every group needs its section, place, lots, lot and station."
            raise ValueError(message)
        _check_range("section", self.section, 0, sections)
        _check_range("lot", self.lot, NONE, lots)
        _check_range("station", self.station, NONE, stations)
        if np.any(self.vials < 0):
            message = "A lot cannot have fewer than no vials."
            raise ValueError(message)

    @property
    def to_deal(self) -> BoolArray:
        """Groups that are to get a lot, shape (G,)."""
        return np.asarray(self.lot == NONE)

    @property
    def to_seat(self) -> BoolArray:
        """Groups that are to get a station, shape (G,)."""
        return np.asarray((self.station == NONE) & self.wants_station)


def _check_range(name: str, values: IntArray, low: int, end: int) -> None:
    if values.size and not (low <= values.min() and values.max() < end):
        message = f"There is a {name} outside {low} to {end - 1}."
        raise ValueError(message)


def neighbours(section: IntArray, place: IntArray) -> IntArray:
    """Return the pairs of groups at consecutive places of a section.

    Returns
    -------
    array of int (E, 2)
        In the order of the benches.

    Examples
    --------
    >>> section, place = np.array([0, 0, 0, 1]), np.array([3, 2, 5, 3])
    >>> neighbours(section, place).tolist()
    [[1, 0]]
    """
    order = np.lexsort((place, section))
    order = order[place[order] != NONE]
    first, second = order[:-1], order[1:]
    beside = (section[first] == section[second]) & (place[first] + 1 == place[second])
    return np.stack([first[beside], second[beside]], axis=1)


def open_lots(wishes: Wishes) -> BoolArray:
    """Return the lots still open to each group to be dealt one, shape (G, L).

    Not those without a vial, and not the lot that a neighbour keeps.  Nothing is open
    to a group that keeps its lot.
    """
    found = wishes.allowed & (wishes.vials > 0) & wishes.to_deal[:, np.newaxis]
    for one, other in neighbours(wishes.section, wishes.place).tolist():
        for group, beside in ((one, other), (other, one)):
            if wishes.lot[beside] != NONE:
                found[group, wishes.lot[beside]] = False
    return np.asarray(found)


def runs(wishes: Wishes) -> list[list[int]]:
    """Return the groups to be dealt a lot, in unbroken rows of neighbours."""
    after = {
        one: other
        for one, other in neighbours(wishes.section, wishes.place).tolist()
        if wishes.lot[one] == wishes.lot[other] == NONE
    }
    inside = set(after.values())
    found = []
    for group in np.flatnonzero(wishes.to_deal).tolist():
        if group in inside:
            continue
        row = [group]
        while row[-1] in after:
            row.append(after[row[-1]])
        found.append(row)
    return found
