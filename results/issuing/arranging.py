"""What a plan is asked for, as arrays, of what was read and wished."""

from dataclasses import dataclass

import numpy as np

from results.policy.issuing import IssuingWish, missing_reason
from results.science.allocation import Wishes
from results.science.allocation.wishes import NONE
from results.science.arrays import BoolArray, IntArray
from results.summaries.preparing.issuing_state import (
    GroupState,
    IssuingState,
    StationState,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Arranged:
    """Groups and stations in the order of the arrays.

    Attributes
    ----------
    groups : tuple of GroupState
        Those that hold a vial or are to get one.
    stations : tuple of StationState
        Those in service.
    by_order : tuple of str
        Sections none of whose groups has a place: the order of their codes stands
        for it.
    passed_over : tuple of GroupState
        Groups that keep their vial although others get another: they have sent
        readings.
    """

    state: IssuingState
    wish: IssuingWish
    groups: tuple[GroupState, ...]
    stations: tuple[StationState, ...]
    wishes: Wishes
    by_order: tuple[str, ...]
    passed_over: tuple[GroupState, ...]

    def section_of(self, group: GroupState) -> str:
        """Return the code of a group's section."""
        return dict(self.state.sections)[group.section_id]


def arrange(state: IssuingState, wish: IssuingWish) -> Arranged:
    """Lay out what is to be found.

    Raises
    ------
    NotAdmitted
        A group would give its vial back, and no reason was given.
    """
    groups = tuple(one for one in state.groups if one.vial or _gets_vial(one, wish))
    if not wish.reason and any(one.vial and _gets_vial(one, wish) for one in groups):
        raise missing_reason()
    stations = tuple(one for one in state.stations if one.in_service)
    places, by_order = _places(state)
    return Arranged(
        state=state,
        wish=wish,
        groups=groups,
        stations=stations,
        by_order=by_order,
        passed_over=tuple(
            one
            for one in groups
            if wish.again and _is_meant(one, wish) and not _gets_vial(one, wish)
        ),
        wishes=Wishes(
            section=_numbers(state.sections, [one.section_id for one in groups]),
            place=np.array(
                [
                    NONE if wish.neighbours_may_share else places[one.group_id]
                    for one in groups
                ],
                dtype=np.int64,
            ),
            allowed=_allowed(state, groups),
            vials=np.array(
                [len(state.free.get(lot, ())) for lot, _ in state.lots], dtype=np.int64
            ),
            service=_service(state, stations, wish),
            lot=_numbers(
                state.lots,
                [None if _gets_vial(one, wish) else one.lot_id for one in groups],
            ),
            station=_kept_stations(groups, stations, wish),
            wants_station=np.array(
                [wish.plans_stations and _may_move(one, wish) for one in groups],
                dtype=np.bool_,
            ),
        ),
    )


def _is_meant(group: GroupState, wish: IssuingWish) -> bool:
    if wish.group:
        return group.group_id == wish.group
    return group.section_id in wish.sections


def _gets_vial(group: GroupState, wish: IssuingWish) -> bool:
    if not _is_meant(group, wish):
        return False
    # Whoever asks for a single group has looked at it.
    may_change = bool(wish.group) or (wish.again and not group.has_sent)
    return not group.vial or may_change


def _may_move(group: GroupState, wish: IssuingWish) -> bool:
    """Whether a group may be sent to a station: not once it has read at one."""
    return _is_meant(group, wish) and not group.has_sent


def _numbers(
    known: tuple[tuple[int, str], ...], wanted: list[int] | list[int | None]
) -> IntArray:
    number = {pk: n for n, (pk, _) in enumerate(known)}
    found = [NONE if one is None else number[one] for one in wanted]
    return np.array(found, dtype=np.int64)


def _places(state: IssuingState) -> tuple[dict[int, int], tuple[str, ...]]:
    """Return the place of every group, and the sections in which it is guessed."""
    places: dict[int, int] = {}
    by_order = []
    for section, code in state.sections:
        here = [one for one in state.groups if one.section_id == section]
        if here and all(one.place is None for one in here):
            by_order.append(code)
            places |= {one.group_id: n for n, one in enumerate(here, start=1)}
        else:
            places |= {
                one.group_id: NONE if one.place is None else one.place for one in here
            }
    return places, tuple(by_order)


def _allowed(state: IssuingState, groups: tuple[GroupState, ...]) -> BoolArray:
    allowed = [[code not in one.former for _, code in state.lots] for one in groups]
    return np.array(allowed, dtype=np.bool_).reshape(len(groups), len(state.lots))


def _service(
    state: IssuingState, stations: tuple[StationState, ...], wish: IssuingWish
) -> BoolArray:
    rooms = [wish.rooms.get(section, "") for section, _ in state.sections]
    service = [[room in ("", one.room) for one in stations] for room in rooms]
    return np.array(service, dtype=np.bool_).reshape(len(rooms), len(stations))


def _kept_stations(
    groups: tuple[GroupState, ...],
    stations: tuple[StationState, ...],
    wish: IssuingWish,
) -> IntArray:
    number = {one.station_id: n for n, one in enumerate(stations)}
    return np.array(
        [
            number.get(one.station_id or 0, NONE)
            if wish.keeps_stations or not _may_move(one, wish)
            else NONE
            for one in groups
        ],
        dtype=np.int64,
    )
