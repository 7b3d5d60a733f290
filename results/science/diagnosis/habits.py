"""How carefully a class works and how often it slips, from its groups' own readings."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import FloatArray
from results.science.diagnosis.assumptions import (
    CARE_GROUPS,
    CARE_LEVELS,
    CLEAN,
    SLIP_GROUPS,
    SLIP_SHARE,
)

#: Shares of the levels of care before a class has shown its own.
ASSUMED_CARE = np.array([level.weight for level in CARE_LEVELS])
#: What is stored of a group: how dense its readings are at each level of care without
#: a slip, at each level with one, and with one that nothing explains.
ENTRIES = 2 * len(CARE_LEVELS) + 1
_ROUNDS = 30


@dataclass(frozen=True, slots=True)
class Habits:
    """Of each group's class without it: shares (N, K) of care, share (N,) that slip."""

    care: FloatArray
    slipped: FloatArray


def assumed_habits(groups: int) -> Habits:
    """Return what is assumed of groups whose class has shown nothing."""
    return Habits(np.tile(ASSUMED_CARE, (groups, 1)), np.full(groups, 1.0 - CLEAN))


def habits_of_class(own: FloatArray) -> Habits:
    """Learn care and slips together: a rough pair is not one that slipped.

    Expectation and maximisation for the weights of a mixture (A. P. Dempster, N. M.
    Laird and D. B. Rubin, J. R. Stat. Soc. B 39, 1977, 1), from the assumed shares.

    Parameters
    ----------
    own : array (N, 2K + 1)
        From `results.science.diagnosis.care_of`; rows with NaN have no say.
    """
    groups, levels = len(own), len(CARE_LEVELS)
    if groups == 0:
        return assumed_habits(0)
    known = np.isfinite(own).all(axis=1, keepdims=True)
    own = np.where(known, own, 1.0)
    care, slipped = ASSUMED_CARE, 1.0 - CLEAN
    weight = SLIP_GROUPS + SLIP_SHARE * groups
    clean_part = slip_part = np.zeros((groups, levels))
    lost = np.zeros(groups)
    for _ in range(_ROUNDS):
        clean_part = own[:, :levels] * care * (1.0 - slipped)
        slip_part = own[:, levels:-1] * care * slipped
        lost = own[:, -1] * slipped
        total = clean_part.sum(axis=1) + slip_part.sum(axis=1) + lost
        clean_part = clean_part / total[:, None]
        slip_part = slip_part / total[:, None]
        lost = lost / total
        mine = clean_part + slip_part
        care = CARE_GROUPS * ASSUMED_CARE + mine.sum(axis=0)
        care = care / care.sum()
        slips = slip_part.sum() + lost.sum()
        slipped = (weight * (1.0 - CLEAN) + slips) / (weight + groups)
    mine = clean_part + slip_part
    others = CARE_GROUPS * ASSUMED_CARE + mine.sum(axis=0) - mine
    slip = slip_part.sum(axis=1) + lost
    rate = weight * (1.0 - CLEAN) + slip.sum() - slip
    rate = rate / (weight + groups - 1)
    return Habits(others / others.sum(axis=1, keepdims=True), rate)
