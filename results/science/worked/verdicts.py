"""Whether each reported number is right, or right given the number before it."""

from collections.abc import Sequence

import numpy as np

from results.science.answer import Answers, Readings
from results.science.arrays import BoolArray, FloatArray
from results.science.dilution import Scheme
from results.science.worked.check import Verdict
from results.science.worked.reported import Digits, ReportedValues, lay_out
from results.science.worked.working import bases, conventions, library, work

#: A number a group carried on with more or fewer digits than it wrote.
_CARRIED = 1.01


def stage_verdicts(
    scheme: Scheme,
    readings: Readings,
    answers: Answers,
    reported: Sequence[ReportedValues],
) -> list[dict[str, Verdict]]:
    """Judge each reported number of every group, by its field's name.

    Returns
    -------
    list of N mappings
        "right given the step before" is an error carried forward, charged already.
    """
    digits = lay_out(reported)
    right = {name: np.zeros(len(reported), dtype=bool) for name in digits}
    given = {name: np.zeros(len(reported), dtype=bool) for name in digits}
    slips = library(scheme)
    with np.errstate(all="ignore"):
        for start in conventions(scheme, bases(scheme, readings, answers)):
            w = work(scheme, start, slips)
            slope, intercept, signal = w.slope[0], w.intercept[0], w.signals[0]
            found = (signal - intercept) / slope
            mass, content = found * w.factor[0], found * w.factor[0] * w.solid[0]
            for name, value in (
                ("slope", slope),
                ("intercept", intercept),
                ("unknown_mg_L", found),
                ("iron_mg", mass),
                ("iron_percent", content),
            ):
                right[name] |= _agrees(digits[name], value, np.zeros(()))
            _given_before(digits, given, (signal, w.factor[0], w.solid[0]))
    return [
        {name: _verdict(digits[name], right[name], given[name], row) for name in digits}
        for row in range(len(reported))
    ]


def _given_before(
    digits: dict[str, Digits],
    given: dict[str, BoolArray],
    ways: tuple[FloatArray, FloatArray, FloatArray],
) -> None:
    signal, factor, solid = ways
    slope, intercept = digits["slope"], digits["intercept"]
    found = (signal - intercept.value) / slope.value
    slack = np.abs(found) * slope.half / np.abs(slope.value)
    slack = slack + intercept.half / np.abs(slope.value)
    given["unknown_mg_L"] |= _agrees(digits["unknown_mg_L"], found, slack)
    tube, mass = digits["unknown_mg_L"], digits["iron_mg"]
    given["iron_mg"] |= _agrees(mass, tube.value * factor, tube.half * factor)
    has_mass = np.isfinite(mass.value)
    start = np.where(has_mass, mass.value, tube.value * factor)
    slack = np.where(has_mass, mass.half, tube.half * factor)
    given["iron_percent"] |= _agrees(
        digits["iron_percent"], start * solid, slack * solid
    )


def _agrees(here: Digits, value: FloatArray, slack: FloatArray) -> BoolArray:
    return np.abs(here.value - value) <= (here.half + slack) * _CARRIED


def _verdict(here: Digits, right: BoolArray, given: BoolArray, row: int) -> Verdict:
    if np.isnan(here.value[row]):
        return Verdict.NOT_REPORTED
    if right[row]:
        return Verdict.RIGHT
    return Verdict.RIGHT_GIVEN if given[row] else Verdict.WRONG
