"""Invented classes with known truth, for demonstration, tests and training.

The generative model and every spread and rate in it are assumptions from memory of
ordinary teaching laboratories, not measurements.
"""

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

__all__ = [
    "PEAK_ABSORPTIVITY",
    "SLIP_RATES",
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
    "alias_lots_with_stations",
    "cross",
    "draw_groups",
    "invent_lots",
    "invent_stations",
    "invented_protocol",
    "invented_scheme",
    "random_layout",
    "relative_absorptivity",
]
