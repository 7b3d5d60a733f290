"""Invents a whole course: people, places, vials, submissions and the truth."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.random import Generator

from results.science.simulate.draw import ClassDraw, draw_groups
from results.science.simulate.layout import Layout, cross, invent_lots
from results.science.simulate.meters import Stations, invent_stations
from results.science.simulate.people import (
    distinct_codes,
    invent_people,
    random_code,
)
from results.science.simulate.protocol import invented_protocol
from results.science.simulate.records import (
    InventedCourse,
    InventedGroup,
    InventedLot,
    InventedReading,
    InventedSection,
    InventedStation,
    InventedSubmission,
    InventedVial,
    Truth,
)
from results.science.simulate.worked import (
    WorkedAnswer,
    WorkedDraw,
    draw_worked_answers,
)

#: The seed of the demonstration course.
DEMO_SEED = 1857

_DAYS = ("MON", "TUE", "WED", "THU", "FRI")
_START_HOURS = (9, 14)
_LENGTH_HOURS, _DUE_AFTER_HOURS = 3.0, 30.0
_ROOMS = ("North laboratory", "South laboratory", "Annexe")
_STATIONS_A_ROOM = 14
_STILL_MISSING_SHARE = 0.05
_ABSORBANCE_SHARE = 0.4
_GROUP_SIZE = 2


@dataclass(frozen=True, slots=True)
class _Codes:
    stations: tuple[str, ...]
    lots: tuple[str, ...]
    sections: tuple[str, ...]
    group_vials: tuple[str, ...]


def invent_course(  # noqa: PLR0913 - every keyword is a fact of the course to invent
    seed: int = DEMO_SEED,
    *,
    sections: int = 6,
    groups_per_section: int = 12,
    stations: int = 14,
    lots: int = 8,
    slip_rate_factor: float = 1.0,
    scheme: Mapping[str, Any] | None = None,
    vial_code: Callable[[Generator], str] = random_code,
) -> InventedCourse:
    """Invent a course whose truth is known.

    Two stations and one lot have a fault; with ``slip_rate_factor=0`` none has, so
    that every finding on such a course is a false alarm.

    Parameters
    ----------
    seed : int
        The same seed gives the same course, whatever else was drawn before.
    sections, groups_per_section, stations, lots : int
        Sizes; at least one each.
    slip_rate_factor : float
        Multiplies the rate of every slip.
    scheme : mapping, optional
        A scheme document to use in place of the course's own.
    vial_code : callable
        Makes one vial code from a generator; called until all differ.

    Raises
    ------
    ValueError
        If a size is below one.
    """
    if min(sections, groups_per_section, stations, lots) < 1:
        message = "A course needs at least one section, group, station and lot."
        raise ValueError(message)
    faults = slip_rate_factor > 0
    place_rng, group_rng, worked_rng, name_rng = np.random.default_rng(seed).spawn(4)
    meters = invent_stations(
        place_rng,
        stations,
        faulty=2 if faults else 0,
        absorbance_share=_ABSORBANCE_SHARE,
    )
    materials = invent_lots(place_rng, lots, faulty=1 if faults else 0)
    layout = cross(place_rng, meters, materials, sections, groups_per_section)
    protocol = invented_protocol(scheme)
    drawn = draw_groups(
        group_rng,
        len(layout),
        scheme=protocol,
        layout=layout,
        slip_rate_factor=slip_rate_factor,
    )
    worked = draw_worked_answers(worked_rng, drawn, slip_rate_factor=slip_rate_factor)
    return _tell(name_rng, protocol, (drawn, worked), vial_code)


def _tell(
    rng: Generator,
    protocol: dict[str, Any],
    drawn_and_worked: tuple[ClassDraw, WorkedDraw],
    vial_code: Callable[[Generator], str],
) -> InventedCourse:
    drawn, worked = drawn_and_worked
    layout = drawn.layout
    n_sections = int(layout.section.max()) + 1
    lot_codes = tuple(f"L{i:02d}" for i in range(1, len(layout.lots) + 1))
    # One spare vial of every lot stays in the prep room.
    vial_lots = [lot_codes[lot] for lot in layout.lot] + list(lot_codes)
    vial_codes = distinct_codes(rng, len(vial_lots), vial_code)
    codes = _Codes(
        stations=tuple(f"S{i:02d}" for i in range(1, len(layout.stations) + 1)),
        lots=lot_codes,
        sections=tuple(_section_code(i) for i in range(n_sections)),
        group_vials=tuple(vial_codes[: len(layout)]),
    )
    people = invent_people(rng, n_sections + _GROUP_SIZE * len(layout))
    return InventedCourse(
        college="Orrendale College",
        code="AN-120",
        title="Quantitative chemistry I",
        term="Spring term",
        protocol=protocol,
        stations=_stations(layout.stations, codes.stations),
        lots=_lots(layout, lot_codes),
        vials=tuple(map(InventedVial, vial_codes, vial_lots)),
        sections=_sections(codes.sections, people[:n_sections]),
        groups=_groups(rng, (drawn, worked), codes, people[n_sections:]),
    )


def _section_code(index: int) -> str:
    parallel, day = divmod(index, len(_DAYS))
    return f"{_DAYS[day]}-{_letters(parallel)}"


def _letters(index: int) -> str:
    rest, last = divmod(index, 26)
    return (_letters(rest - 1) if rest else "") + chr(ord("A") + last)


def _sections(
    codes: tuple[str, ...], assistants: list[str]
) -> tuple[InventedSection, ...]:
    return tuple(
        InventedSection(
            code=code,
            day=index % len(_DAYS),
            hour=_START_HOURS[index // len(_DAYS) % len(_START_HOURS)],
            length_hours=_LENGTH_HOURS,
            due_after_hours=_DUE_AFTER_HOURS,
            assistants=(assistants[index],),
        )
        for index, code in enumerate(codes)
    )


def _stations(
    stations: Stations, codes: tuple[str, ...]
) -> tuple[InventedStation, ...]:
    invented = []
    for index, code in enumerate(codes):
        room, bench = divmod(index, _STATIONS_A_ROOM)
        in_absorbance = bool(stations.reads_absorbance[index])
        invented.append(
            InventedStation(
                code=code,
                place=f"{_ROOMS[room % len(_ROOMS)]}, bench {bench + 1}",
                scale="absorbance" if in_absorbance else "percent_T",
                step=float(stations.step[index]),
                fault=stations.faults[index],
            )
        )
    return tuple(invented)


def _lots(layout: Layout, codes: tuple[str, ...]) -> tuple[InventedLot, ...]:
    lots = layout.lots
    return tuple(
        InventedLot(
            code=code,
            iron_percent=float(lots.assigned_percent[index]),
            u_iron_percent=float(lots.u_percent[index]),
            true_iron_percent=float(lots.true_percent[index]),
            fault=lots.faults[index],
        )
        for index, code in enumerate(codes)
    )


def _groups(
    rng: Generator,
    drawn_and_worked: tuple[ClassDraw, WorkedDraw],
    codes: _Codes,
    people: list[str],
) -> tuple[InventedGroup, ...]:
    drawn, worked = drawn_and_worked
    layout = drawn.layout
    still_missing = rng.random(len(layout)) < _STILL_MISSING_SHARE
    minutes = _received_minutes(rng, drawn)
    numbers = np.arange(len(layout)) % np.bincount(layout.section)[layout.section]
    groups = []
    for index in range(len(layout)):
        submission = _submission(
            drawn, worked.answers[index], index, int(minutes[index])
        )
        groups.append(
            InventedGroup(
                section=codes.sections[layout.section[index]],
                number=int(numbers[index]) + 1,
                students=tuple(people[_GROUP_SIZE * index : _GROUP_SIZE * (index + 1)]),
                vial=codes.group_vials[index],
                station=codes.stations[drawn.typed.station[index]],
                submission=None if still_missing[index] else submission,
                truth=Truth(
                    true_iron_percent=float(drawn.true_iron_percent[index]),
                    measured_iron_percent=float(drawn.measured_iron_percent[index]),
                    slips=drawn.slips[index],
                    worked_slips=worked.slips[index],
                    worked_slip_is_visible=bool(worked.is_visible[index]),
                ),
            )
        )
    return tuple(groups)


def _received_minutes(rng: Generator, drawn: ClassDraw) -> np.ndarray[Any, Any]:
    n_groups = len(drawn.layout)
    at_the_bench = np.rint(60 * rng.uniform(2.2, _LENGTH_HOURS, n_groups))
    after_due = np.rint(60 * (_DUE_AFTER_HOURS + rng.uniform(0.5, 48.0, n_groups)))
    return np.where(drawn.is_late, after_due, at_the_bench)


def _submission(
    drawn: ClassDraw, answer: WorkedAnswer, index: int, received_minutes: int
) -> InventedSubmission:
    typed, plan = drawn.typed, drawn.plan
    taken_mL = np.concatenate(
        [typed.standard_taken_mL[index], typed.unknown_taken_mL[index]]
    )
    labels = (*plan.standards.tubes, *plan.unknown.tubes)
    incomplete = bool(drawn.misses_field[index])
    return InventedSubmission(
        standard_mass_g=float(typed.standard_mass_g[index]),
        unknown_mass_g=float(typed.unknown_mass_g[index]),
        readings=tuple(
            InventedReading(
                tube=label,
                replicate=1,
                position=place + 1,
                taken_mL=float(taken_mL[place]),
                value=float(typed.values[index, place]),
            )
            for place, label in enumerate(labels)
        ),
        own_slope="" if incomplete else answer.slope,
        own_intercept="" if incomplete else answer.intercept,
        own_unknown_mg_L=answer.unknown_mg_L,
        own_iron_percent=answer.iron_percent,
        is_late=bool(drawn.is_late[index]),
        received_minutes=received_minutes,
    )
