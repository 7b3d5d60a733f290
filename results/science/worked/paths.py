"""The ways through a working that are weighed, and how likely each is beforehand."""

import numpy as np

from results.science.arrays import IntArray
from results.science.worked.evidence import Paths
from results.science.worked.slips import WorkedSlip
from results.science.worked.working import Library

#: Before looking: no slip, one, two, or something unknown.  Assumptions.
NONE, SINGLE, PAIR, UNKNOWN = 0.5, 0.4, 0.08, 0.02

Row = tuple[int, int, int, int, float]


def single_paths(slips: Library) -> Paths:
    """No slip, every single slip, and something unknown at each stage.

    Something unknown may be followed by one known slip further on: the working is
    checked step by step from the numbers reported.
    """
    stages = (slips.line, slips.unknown, slips.back)
    total = sum(one.usual for stage in stages for one in stage)
    rows: list[Row] = [(0, 0, 0, 0, NONE)]
    for place, stage in enumerate(stages):
        for index, one in enumerate(stage[1:], start=1):
            rows.append(_row({place: index}, SINGLE * one.usual / total))
        rows.append(_row({place: len(stage)}, UNKNOWN / 3))
    first, second = len(slips.line), len(slips.unknown)
    for place, stage, lost in (
        (1, slips.unknown, {0: first}),
        (2, slips.back, {0: first}),
        (2, slips.back, {1: second}),
    ):
        for index, one in enumerate(stage[1:], start=1):
            weight = UNKNOWN * SINGLE * one.usual / total
            rows.append(_row({**lost, place: index}, weight))
    last, rare = len(slips.back), UNKNOWN**2 / 9
    rows += [
        (first, second, 0, 0, rare),
        (first, 0, last, 0, rare),
        (0, second, last, 0, rare),
        (first, second, last, 0, rare),
    ]
    return _paths(rows)


def pair_paths(slips: Library) -> Paths:
    """Two known slips at different stages, or two factors on the way back."""
    stages = (slips.line, slips.unknown, slips.back)
    total = sum(one.usual for stage in stages for one in stage) ** 2 / 2
    rows: list[Row] = []
    for left, right in ((0, 1), (0, 2), (1, 2)):
        for i, one in enumerate(stages[left][1:], start=1):
            for j, other in enumerate(stages[right][1:], start=1):
                weight = PAIR * one.usual * other.usual / total
                rows.append(_row({left: i, right: j}, weight))
    for i, one in enumerate(slips.back[1:], start=1):
        for j, other in enumerate(slips.back[i + 1 :], start=i + 1):
            if not _cancels(one, other):
                weight = PAIR * one.usual * other.usual / total
                rows.append((0, 0, i, j, weight))
    return _paths(rows)


def nameless(paths: Paths, slips: Library) -> IntArray:
    """Places of the paths without any slip that has a name."""
    return np.flatnonzero(
        np.isin(paths.line, (0, len(slips.line)))
        & np.isin(paths.unknown, (0, len(slips.unknown)))
        & np.isin(paths.back, (0, len(slips.back)))
        & (paths.second_back == 0)
    )


def _cancels(one: WorkedSlip, other: WorkedSlip) -> bool:
    return abs(one.factor * other.factor - 1.0) < 1e-9


def _row(indices: dict[int, int], weight: float) -> Row:
    return indices.get(0, 0), indices.get(1, 0), indices.get(2, 0), 0, weight


def _paths(rows: list[Row]) -> Paths:
    table = np.array(rows, dtype=np.float64)
    whole = table[:, :4].astype(np.int64)
    return Paths(
        whole[:, 0], whole[:, 1], whole[:, 2], whole[:, 3], np.log(table[:, 4])
    )


def slips_on(path: tuple[int, ...], slips: Library) -> list[WorkedSlip | None]:
    """Name the slips of one path, in the order of the working; None: unknown."""
    named: list[WorkedSlip | None] = []
    for index, stage in zip(
        path, (slips.line, slips.unknown, slips.back, slips.back), strict=True
    ):
        if index >= len(stage):
            named.append(None)
        elif index:
            named.append(stage[index])
    return named
