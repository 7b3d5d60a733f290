"""Invented classes with known truth, for demonstration, tests and training.

The generative model and every spread and rate in it are assumptions from memory of
ordinary teaching laboratories, not measurements.
"""

from results.science.simulate.course import DEMO_SEED, invent_course
from results.science.simulate.draw import SLIP_RATES, ClassDraw, draw_groups
from results.science.simulate.layout import (
    Layout,
    Lots,
    alias_lots_with_stations,
    cross,
    invent_lots,
    random_layout,
)
from results.science.simulate.meters import Stations, invent_stations
from results.science.simulate.people import random_code
from results.science.simulate.protocol import invented_protocol, invented_scheme
from results.science.simulate.records import (
    InventedCourse,
    InventedGroup,
    InventedLot,
    InventedReading,
    InventedSection,
    InventedStation,
    InventedSubmission,
    InventedVial,
    Slip,
    Truth,
)
from results.science.simulate.spectrum import (
    PEAK_ABSORPTIVITY,
    relative_absorptivity,
)
from results.science.simulate.worked import (
    WORKED_SLIP_RATES,
    WorkedAnswer,
    WorkedDraw,
    draw_worked_answers,
)

__all__ = [
    "DEMO_SEED",
    "PEAK_ABSORPTIVITY",
    "SLIP_RATES",
    "WORKED_SLIP_RATES",
    "ClassDraw",
    "InventedCourse",
    "InventedGroup",
    "InventedLot",
    "InventedReading",
    "InventedSection",
    "InventedStation",
    "InventedSubmission",
    "InventedVial",
    "Layout",
    "Lots",
    "Slip",
    "Stations",
    "Truth",
    "WorkedAnswer",
    "WorkedDraw",
    "alias_lots_with_stations",
    "cross",
    "draw_groups",
    "draw_worked_answers",
    "invent_course",
    "invent_lots",
    "invent_stations",
    "invented_protocol",
    "invented_scheme",
    "random_code",
    "random_layout",
    "relative_absorptivity",
]
