"""Which lot and which station each group gets, and what such a plan can tell."""

from results.science.allocation.allocate import Allocation, allocate
from results.science.allocation.coverage import Coverage, coverage
from results.science.allocation.foresight import (
    FactorForesight,
    FamilyPower,
    Foresight,
    foresee,
)
from results.science.allocation.reasons import (
    Impossible,
    NeighboursClash,
    NoLotLeft,
    NoStation,
    NothingFits,
    Reason,
    TooFewVials,
    Undecided,
)
from results.science.allocation.wishes import Wishes, neighbours

__all__ = [
    "Allocation",
    "Coverage",
    "FactorForesight",
    "FamilyPower",
    "Foresight",
    "Impossible",
    "NeighboursClash",
    "NoLotLeft",
    "NoStation",
    "NothingFits",
    "Reason",
    "TooFewVials",
    "Undecided",
    "Wishes",
    "allocate",
    "coverage",
    "foresee",
    "neighbours",
]
