"""A course's current answers laid out as rows, for what compares them."""

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from results.models import Answer, AssignedValues, Duty, Finding
from results.models.outcomes import Audience
from results.policy.access import Role
from results.science.arrays import FloatArray, IntArray
from results.science.curvature import curvature_z

#: Slips of a group's own tubes and typing. What could as well be a fault of a lot, a
#: station or a section is not among them: there it must be seen.
OWN_SLIPS = frozenset(
    {
        "tube_off",
        "tubes_swapped",
        "tube_uncoloured",
        "mistyped_reading",
        "mistyped_mass",
        "scale_mixed_up",
        "unknown_tube_off",
        "same_readings",
    }
)
#: Groups are left out that are likelier to have made such a slip than not.
_LIKELY = 0.5
#: No lot is known better than this, relative; its vials differ, too.
_LEAST_LOT_SD = 0.001
_NO_LOT = -1


@dataclass(frozen=True, slots=True)
class ClassRows:
    """N current answers of a course.

    Attributes
    ----------
    group, section, station, lot : array of int (N,)
        Ids; -1 for a lot nobody knows.
    week : array of int (N,)
        Year and week of ISO 8601, as 202547.
    assistant : array of str (N,)
        Ids of the section's assistants, joined by commas.
    log_slope, log_recovery, curvature : array (N,)
        NaN where there is none; natural logarithms, and a z.
    left_out : array of int
        Groups whose own slips are likely; all three are NaN there.
    lot_sd : dict of int to float
        Relative standard uncertainty of each lot's assigned value.
    """

    group: IntArray
    section: IntArray
    station: IntArray
    lot: IntArray
    week: IntArray
    assistant: NDArray[np.str_]
    log_slope: FloatArray
    log_recovery: FloatArray
    curvature: FloatArray
    left_out: IntArray
    lot_sd: dict[int, float]


def class_rows(course_id: int) -> ClassRows:
    """Read a course's current answers; four queries, however many."""
    rows = list(
        Answer.objects.filter(
            submission__group__section__course_id=course_id,
            submission__is_current=True,
        )
        .order_by("submission_id")
        .values_list(
            "submission_id",
            "submission__group_id",
            "submission__group__section_id",
            "submission__station_id",
            "submission__vial__lot_id",
            "submission__received_at",
            "slope",
            "iron_percent",
            "points",
        )
    )
    slipped = _slipped(course_id)
    theirs = np.array([row[0] in slipped for row in rows], dtype=np.bool_)
    lots = [row[4] or _NO_LOT for row in rows]
    assigned, lot_sd = _assigned(lots, [row[5] for row in rows])
    iron = _positive_log(row[7] for row in rows)
    assistants = _assistants(course_id)

    def kept(values: FloatArray) -> FloatArray:
        return np.where(theirs, np.nan, values)

    group = np.array([row[1] for row in rows], dtype=np.int64)
    return ClassRows(
        group=group,
        section=np.array([row[2] for row in rows], dtype=np.int64),
        station=np.array([row[3] for row in rows], dtype=np.int64),
        lot=np.array(lots, dtype=np.int64),
        week=np.array([_week(row[5]) for row in rows], dtype=np.int64),
        assistant=np.array([assistants.get(row[2], "") for row in rows], dtype=np.str_),
        log_slope=kept(_positive_log(row[6] for row in rows)),
        log_recovery=kept(iron - assigned),
        curvature=kept(_curvature([row[8] for row in rows])),
        left_out=group[theirs],
        lot_sd=lot_sd,
    )


def _week(moment: datetime) -> int:
    year, week, _ = moment.isocalendar()
    return 100 * year + week


def _slipped(course_id: int) -> set[int]:
    """Return the submissions whose own slips are likely.

    From what the group is told, which no assigned value bears on: otherwise a wrong
    lot would look like slips of all its groups.
    """
    share: dict[int, float] = defaultdict(float)
    for submission_id, probability in Finding.objects.filter(
        submission__group__section__course_id=course_id,
        submission__is_current=True,
        audience=Audience.GROUP,
        code__in=OWN_SLIPS,
    ).values_list("submission_id", "probability"):
        share[submission_id] += probability
    return {key for key, value in share.items() if value >= _LIKELY}


def _assigned(
    lots: list[int], moments: list[datetime]
) -> tuple[FloatArray, dict[int, float]]:
    values = AssignedValues(lots)
    logs = np.full(len(lots), np.nan)
    spread: dict[int, float] = {}
    for row, (lot, moment) in enumerate(zip(lots, moments, strict=True)):
        found = values.at(lot, moment)
        if found is not None:
            logs[row] = math.log(found.iron_percent)
            relative = found.u_iron_percent / found.iron_percent
            # Of values that followed one another, the less certain one.
            spread[lot] = max(relative, _LEAST_LOT_SD, spread.get(lot, 0.0))
    return logs, spread


def _assistants(course_id: int) -> dict[int, str]:
    by_section: dict[int, list[str]] = defaultdict(list)
    for section_id, user_id in (
        Duty.objects.filter(course_id=course_id, role=Role.ASSISTANT)
        .order_by("user_id")
        .values_list("section_id", "user_id")
    ):
        if section_id is not None:
            by_section[section_id].append(str(user_id))
    return {section: ",".join(users) for section, users in by_section.items()}


def _positive_log(values: Iterable[float | None]) -> FloatArray:
    array = np.array(
        [np.nan if v is None or v <= 0.0 else v for v in values], dtype=np.float64
    )
    return np.log(array)


def _curvature(points: list[list[dict[str, Any]]]) -> FloatArray:
    standards = [
        [
            (point["mg_L"], point["absorbance"])
            for point in tubes
            if point["kind"] == "standard" and point["mg_L"] is not None
        ]
        for tubes in points
    ]
    widest = max(map(len, standards), default=0)
    table = np.full((len(points), max(widest, 1), 2), np.nan)
    for row, pairs in enumerate(standards):
        if pairs:
            table[row, : len(pairs)] = pairs
    return curvature_z(table[..., 0], table[..., 1])
