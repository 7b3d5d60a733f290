"""Slips that shift one side of the experiment, or all tubes at once."""

from collections.abc import Iterator

import numpy as np

from results.science.arrays import FloatArray
from results.science.diagnosis.assumptions import (
    PLATEAUS,
    SIZES,
    STRAY,
    STRAY_DRAWN_AT,
    WRONG_VESSEL,
    ZERO_OFFSET,
    CareLevel,
)
from results.science.diagnosis.hypotheses import Case, Evidence, Family, Hypothesis
from results.science.diagnosis.model import Solved, along
from results.science.diagnosis.sizes import (
    fixed_size,
    ranged_size,
    ranged_sizes,
    where_told,
)
from results.science.dilution import Scheme


def _factors(scheme: Scheme, *, standards: bool) -> tuple[float, ...]:
    """Whole factors that a side can be wrong by: vessels, and dilutions left out."""
    chain = scheme.standard_steps if standards else scheme.unknown_steps
    found = {0.1, 10.0, *WRONG_VESSEL}
    taken = np.nan
    for step in chain:
        if step.is_take:
            taken = step.take_mL
        elif not np.isnan(taken):
            ratio = step.make_up_mL / taken
            found |= {ratio, 1.0 / ratio}
    if not standards and scheme.unknowns:
        tube = scheme.unknowns[0]
        if tube.take_mL > 0.0:
            found |= {tube.make_up_mL / tube.take_mL}
    distinct = sorted(factor for factor in found if abs(np.log(factor)) > 0.05)
    kept: list[float] = []
    for factor in distinct:
        if not kept or factor > kept[-1] * 1.01:
            kept.append(factor)
    return tuple(kept)


def sides(scheme: Scheme) -> Iterator[Family]:
    """Yield slips that multiply all standards, or all unknown tubes."""
    for place, side in enumerate(("standards", "unknown")):
        factors = _factors(scheme, standards=side == "standards")
        yield Family(
            (Hypothesis(f"{side}_loss"), Hypothesis(f"{side}_gain")),
            _ranges_of_side(place, (*SIZES[f"{side}_loss"], *SIZES[f"{side}_gain"])),
            is_near=True,
        )
        half = Hypothesis(f"{side}_far", share=0.5)
        yield Family((half, half), _ranges_of_side(place, SIZES[f"{side}_far"]))
        key = "standard_factor" if side == "standards" else "unknown_factor"
        share = 1.0 / len(factors)
        listed = tuple(
            Hypothesis(f"{side}_factor", (), share, **{key: factor})
            for factor in factors
        )
        yield Family(listed, _factors_of_side(place, factors))


def _ranges_of_side(place: int, ranges: tuple[tuple[float, float], ...]) -> Evidence:
    def evidence(_: Case, solved: Solved, __: CareLevel) -> Iterator[FloatArray]:
        yield from ranged_sizes(*solved.sides[place], ranges)

    return evidence


def _factors_of_side(place: int, factors: tuple[float, ...]) -> Evidence:
    column = np.array(factors)[:, None]

    def evidence(_: Case, solved: Solved, __: CareLevel) -> Iterator[FloatArray]:
        # The chain's own scatter grows with what it is multiplied by.
        yield fixed_size(*solved.sides[place], column - 1.0, (0.01 * column) ** 2)

    return evidence


def whole() -> Family:
    """Shapes that run through all tubes: meter, zero, curvature, ligand short."""

    def evidence(case: Case, solved: Solved, _: CareLevel) -> Iterator[FloatArray]:
        mean, n = case.expected.mean, case.record.n
        s, q = along(solved, mean)
        yield ranged_size(s, q, *SIZES["meter_low"][0])
        yield ranged_size(s, q, *SIZES["meter_high"][0])
        yield ranged_size(s, q, *SIZES["meter_far"][0])
        s, q = along(solved, np.ones_like(mean))
        yield ranged_size(s, q, *ZERO_OFFSET)
        yield ranged_size(s, q, -ZERO_OFFSET[1], -ZERO_OFFSET[0])
        light = 10.0 ** -np.clip(mean, -1.0, 4.0)
        lost = np.log10((light + STRAY_DRAWN_AT) / (1.0 + STRAY_DRAWN_AT) / light)
        s, q = along(solved, -lost / STRAY_DRAWN_AT)
        yield ranged_size(s, q, *STRAY)
        strongest = mean[:n].max(axis=0)
        for share in PLATEAUS:
            direction = np.minimum(mean, share * strongest) - mean
            s, q = along(solved, direction)
            yield where_told(q, fixed_size(s, q, 1.0, 0.1**2))

    listed = (
        Hypothesis("meter_low"),
        Hypothesis("meter_high"),
        Hypothesis("meter_far"),
        Hypothesis("zero_high"),
        Hypothesis("zero_low"),
        Hypothesis("stray"),
        *(Hypothesis("plateau", share=1.0 / len(PLATEAUS)) for _ in PLATEAUS),
    )
    return Family(listed, evidence, is_near=True)
