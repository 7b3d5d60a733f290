"""Slips with one tube, or with the order of tubes."""

from collections.abc import Iterator
from itertools import combinations

import numpy as np

from results.science.arrays import FloatArray
from results.science.diagnosis.assumptions import (
    DARKER,
    SIZES,
    VOLUME_STEP_ML,
    CareLevel,
)
from results.science.diagnosis.hypotheses import Case, Family, Hypothesis
from results.science.diagnosis.model import Solved, along, between, reading_variance
from results.science.diagnosis.sizes import (
    exchanged,
    fixed_size,
    ranged_size,
    ranged_sizes,
    where_told,
)


def one_tube(n: int, m: int) -> Iterator[Family]:
    """Yield slips with one of n standards or of m unknown tubes."""
    standards, unknowns = range(n), range(n, n + m)
    yield _ranged(("tube_fill", "tube_wrong"), standards, is_near=True)
    yield _ranged(("tube_far", "tube_pale"), standards)
    yield _ranged(("unknown_tube",), unknowns, is_near=True)
    yield _ranged(("unknown_tube_far", "unknown_pale"), unknowns)
    for tubes, prefix in ((standards, "tube"), (unknowns, "unknown")):
        yield _darker(f"{prefix}_dark", tubes)
        yield _colourless(f"{prefix}_uncoloured", tubes)
    yield _stepped(standards)


def _at(tubes: range) -> slice:
    return slice(tubes.start, tubes.stop)


def _ranged(shapes: tuple[str, ...], tubes: range, *, is_near: bool = False) -> Family:
    """List relative sizes; those ``is_near`` are small enough to lie near the model."""
    ranges = tuple(bounds for shape in shapes for bounds in SIZES[shape])

    def evidence(case: Case, solved: Solved, _: CareLevel) -> Iterator[FloatArray]:
        mean = case.expected.mean[_at(tubes)]
        s = mean * solved.precise_residual[_at(tubes)]
        q = mean**2 * solved.diagonal[_at(tubes)]
        yield from ranged_sizes(s, q, ranges)

    listed = tuple(
        Hypothesis(shape, (t,), 1.0 / max(len(SIZES[shape]) * len(tubes), 1))
        for shape in shapes
        for _ in SIZES[shape]
        for t in tubes
    )
    return Family(listed, evidence, is_near)


def _darker(shape: str, tubes: range) -> Family:
    def evidence(_: Case, solved: Solved, __: CareLevel) -> Iterator[FloatArray]:
        s, q = solved.precise_residual[_at(tubes)], solved.diagonal[_at(tubes)]
        yield ranged_size(s, q, *DARKER)

    share = 1.0 / max(len(tubes), 1)
    listed = tuple(Hypothesis(shape, (t,), share) for t in tubes)
    return Family(listed, evidence, is_near=True)


def _colourless(shape: str, tubes: range) -> Family:
    def evidence(case: Case, solved: Solved, _: CareLevel) -> Iterator[FloatArray]:
        mean = case.expected.mean[_at(tubes)]
        s = mean * solved.precise_residual[_at(tubes)]
        q = mean**2 * solved.diagonal[_at(tubes)]
        yield where_told(q, fixed_size(s, q, -1.0, 0.02**2))

    share = 1.0 / max(len(tubes), 1)
    return Family(tuple(Hypothesis(shape, (t,), share) for t in tubes), evidence)


def _stepped(tubes: range) -> Family:
    """List volumes that are wrong by exactly one mark."""

    def evidence(case: Case, solved: Solved, _: CareLevel) -> Iterator[FloatArray]:
        mean, taken = case.expected.mean[_at(tubes)], case.record.taken_mL[_at(tubes)]
        s, q = solved.precise_residual[_at(tubes)], solved.diagonal[_at(tubes)]
        with np.errstate(all="ignore"):
            size = np.where(taken > VOLUME_STEP_ML, mean / taken, 0.0) * VOLUME_STEP_ML
        q = np.where(size > 0.0, q, 0.0)
        for sign in (-1.0, 1.0):
            yield where_told(q, fixed_size(s, q, sign * size, (0.02 * size) ** 2))

    share = 0.5 / max(len(tubes), 1)
    twice = tuple(Hypothesis("tube_step", (t,), share) for _ in range(2) for t in tubes)
    return Family(twice, evidence)


def swaps(n: int, m: int) -> Family:
    """List exchanges of two tubes, at least one of them a standard."""
    pairs = [pair for pair in combinations(range(n + m), 2) if not min(pair) >= n]
    among, across = n * (n - 1) / 2, n * m
    # Neighbours trade places three times as often as others.
    near = sum(j - i == 1 for i, j in pairs if j < n)
    total = among + 2.0 * near

    def share(i: int, j: int) -> float:
        return (3.0 if j - i == 1 else 1.0) / total if j < n else 1.0 / across

    def evidence(case: Case, solved: Solved, level: CareLevel) -> Iterator[FloatArray]:
        record, y = case.record, case.record.absorbance
        variance = reading_variance(case.scheme, record, y, level)
        variance = variance / np.maximum(record.replicates, 1.0)
        p, d = solved.precise_residual, solved.diagonal
        for i, j in pairs:
            value = exchanged(
                (p[i], p[j]),
                (d[i], d[j], between(solved, i, j)),
                y[i] - y[j],
                variance[j] - variance[i],
            )
            yield np.where(record.present[i] & record.present[j], value, -1e4)

    listed = tuple(
        Hypothesis("swap" if j < n else "swap_unknown", (i, j), share(i, j))
        for i, j in pairs
    )
    return Family(listed, evidence)


def shifted(n: int) -> Family:
    """All standards read one place late or early."""

    def evidence(case: Case, solved: Solved, _: CareLevel) -> Iterator[FloatArray]:
        mean = case.expected.mean
        late, early = np.zeros_like(mean), np.zeros_like(mean)
        late[0], late[1:n] = -mean[0], mean[: n - 1] - mean[1:n]
        early[: n - 1] = mean[1:n] - mean[: n - 1]
        early[n - 1] = (mean[n] if len(mean) > n else 0.0) - mean[n - 1]
        for direction in (late, early):
            s, q = along(solved, direction)
            yield where_told(q, fixed_size(s, q, 1.0, 0.02**2))

    both = tuple(Hypothesis("shifted", (), 0.5) for _ in range(2))
    return Family(both, evidence)
