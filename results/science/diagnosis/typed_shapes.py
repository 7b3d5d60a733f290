"""Slips at the keys: readings, masses and volumes that were typed wrongly."""

from collections.abc import Iterator

import numpy as np

from results.science.arrays import FloatArray
from results.science.diagnosis.assumptions import CareLevel
from results.science.diagnosis.hypotheses import Case, Evidence, Family, Hypothesis
from results.science.diagnosis.model import Solved, along, reading_variance
from results.science.diagnosis.record import Record
from results.science.diagnosis.sizes import fixed_size, where_told
from results.science.diagnosis.typed import share_of_ways


def typed(record: Record) -> Iterator[Family]:
    """Yield slips in typing one value, way by way."""
    replicates, tubes = record.signal.shape[:2]
    for way, shape in enumerate(_WAYS):
        share = share_of_ways(shape) / max(replicates * tubes, 1)
        listed = tuple(
            Hypothesis(shape, (t,), share)
            for _ in range(replicates)
            for t in range(tubes)
        )
        yield Family(listed, _typed_evidence(way))


_WAYS = (
    "digits_swapped",
    "digits_swapped",
    "tens_misread",
    "tens_misread",
    "decimal_shifted",
)


def _typed_evidence(way: int) -> Evidence:
    def evidence(case: Case, solved: Solved, level: CareLevel) -> Iterator[FloatArray]:
        record, meant = case.record, case.meant[way]
        count = np.maximum(record.replicates, 1.0)
        now = reading_variance(case.scheme, record, record.absorbance, level)
        for replicate in range(len(meant.shift)):
            shift = meant.shift[replicate]
            then = reading_variance(
                case.scheme, record, record.absorbance - shift / count, level
            )
            value = fixed_size(
                solved.precise_residual,
                solved.diagonal,
                shift / count,
                (then - now) / count,
            )
            value = value + meant.log_cell[replicate]
            if len(meant.shift) > 1:
                value = value + _agreement(case, replicate, shift, then)
            possible = meant.possible[replicate] & record.present
            yield np.where(possible, value, -1e4)

    return evidence


def _agreement(
    case: Case, replicate: int, shift: FloatArray, variance: FloatArray
) -> FloatArray:
    """Gain in agreement among a tube's replicates once one of them is mended."""
    record = case.record
    with np.errstate(all="ignore"):
        typed = record.signal[replicate]
        absorbance = np.where(record.is_absorbance, typed, 2.0 - np.log10(typed))
    away = np.where(np.isfinite(absorbance), absorbance - record.absorbance, 0.0)
    left = 1.0 - 1.0 / np.maximum(record.replicates, 1.0)
    return (2.0 * shift * away - shift**2 * left) / (2.0 * variance)


def masses() -> Family:
    """Typed masses: the plan's for the balance's, or two digits exchanged."""

    def evidence(case: Case, solved: Solved, _: CareLevel) -> Iterator[FloatArray]:
        record, scheme, context = case.record, case.scheme, case.context
        masses_g = record.standard_mass_g, record.unknown_mass_g
        plans_g = scheme.standard_mass_g, scheme.unknown_mass_g
        sds_g = context.standard_mass_sd_g, context.unknown_mass_sd_g
        for (s, q), mass_g, plan_g, sd_g in zip(
            solved.sides, masses_g, plans_g, sds_g, strict=True
        ):
            yield _nominal(s, q, mass_g, (plan_g, sd_g))
            for place in range(3):
                yield _mass_digits(s, q, mass_g, (plan_g, place))

    listed = []
    for powder in ("salt", "unknown"):
        listed.append(Hypothesis(f"{powder}_mass_nominal"))
        listed += [Hypothesis(f"{powder}_mass_digits", share=1 / 3) for _ in range(3)]
    return Family(tuple(listed), evidence, is_near=True)


def _nominal(
    s: FloatArray,
    q: FloatArray,
    mass_g: FloatArray,
    plan_and_sd: tuple[float, FloatArray],
) -> FloatArray:
    plan_g, sd_g = plan_and_sd
    equal = np.abs(mass_g - plan_g) < 5e-6
    with np.errstate(all="ignore"):
        # An honest weighing shows just this mass, to 0.1 mg, so rarely:
        surprise = np.log(np.sqrt(2.0 * np.pi) * sd_g / 1e-4)
        value = fixed_size(s, q, 0.0, (sd_g / plan_g) ** 2) + surprise
        value = np.where(q > 0.0, value, surprise)
    return np.where(equal & np.isfinite(value), value, -1e4)


def _mass_digits(
    s: FloatArray, q: FloatArray, mass_g: FloatArray, plan_and_place: tuple[float, int]
) -> FloatArray:
    plan_g, place = plan_and_place
    units = np.rint(mass_g * 1e4)
    low = np.floor(units / 10.0**place) % 10
    high = np.floor(units / 10.0 ** (place + 1)) % 10
    meant_g = (units + (low - high) * 9.0 * 10.0**place) / 1e4
    # Weighings spread by some 5 % about the plan, with long tails.
    with np.errstate(all="ignore"):
        near = np.log1p(((mass_g / plan_g - 1) / 0.05) ** 2)
        nearer = np.log1p(((meant_g / plan_g - 1) / 0.05) ** 2)
        size = meant_g / mass_g - 1.0
        value = where_told(q, fixed_size(s, q, size, 0.0)) + 2.0 * (near - nearer)
    possible = (low != high) & (np.abs(size) > 0.004) & (meant_g > 0.5 * plan_g)
    return np.where(possible & np.isfinite(value), value, -1e4)


def typed_volumes(n: int) -> Family:
    """List volumes typed that are not the plan's, while the plan's would fit."""

    def evidence(case: Case, solved: Solved, _: CareLevel) -> Iterator[FloatArray]:
        taken = case.record.taken_mL[:n]
        plan = case.scheme.standard_take_mL[:, None]
        with np.errstate(all="ignore"):
            size = plan / taken - 1.0
        odd = np.isfinite(size) & (np.abs(size) > 0.04)
        mean = case.expected.mean[:n]
        s = mean * solved.precise_residual[:n]
        q = np.where(odd, mean**2 * solved.diagonal[:n], 0.0)
        yield where_told(q, fixed_size(s, q, np.where(odd, size, 0.0), 0.01**2))
        total = np.vstack([np.diff(taken, axis=0, prepend=0.0)])
        with np.errstate(all="ignore"):
            direction = np.zeros_like(case.expected.mean)
            direction[:n] = mean * np.where(taken > 0.0, total / taken - 1.0, 0.0)
        cumulative = np.all(total[1:] > 0.0, axis=0) & odd.any(axis=0)
        s, q = along(solved, np.where(np.isfinite(direction), direction, 0.0))
        yield where_told(np.where(cumulative, q, 0.0), fixed_size(s, q, 1.0, 0.01**2))

    one = [Hypothesis("volume_typed", (t,), 0.5 / max(n, 1)) for t in range(n)]
    return Family((*one, Hypothesis("volume_typed", (), 0.5)), evidence)
