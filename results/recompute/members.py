"""What each current submission of a class adds to what the class says of the others."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from itertools import compress
from typing import Any

import numpy as np
import orjson
from django.db.models import TextField
from django.db.models.functions import Cast

from results.models import AssignedValues, Submission
from results.recompute.readings import NO_LOT, whole
from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.diagnosis import Context, class_context, told_the_answer

# A stored number and the same one computed anew differ by less.
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Members:
    """Submissions of one class, one row each; at most one of a group.

    Attributes
    ----------
    submission, group, station, lot : array of int (N,)
    log_absorptivity, log_iron, standard_mass_g, unknown_mass_g : array (N,)
    care : array (N, K)
    log_assigned, assigned_sd : array (N,)
        Log of the lot's assigned value as it was then, and its relative standard
        uncertainty; NaN without one.
    """

    submission: IntArray
    group: IntArray
    station: IntArray
    lot: IntArray
    log_absorptivity: FloatArray
    log_iron: FloatArray
    standard_mass_g: FloatArray
    unknown_mass_g: FloatArray
    care: FloatArray
    log_assigned: FloatArray
    assigned_sd: FloatArray

    def chosen(self, rows: BoolArray | IntArray) -> "Members":
        """Return some of the rows."""
        return Members(*(getattr(self, f.name)[rows] for f in fields(self)))

    def joined(self, others: "Members") -> "Members":
        """Return these rows, and others behind them."""
        return Members(
            *(
                np.concatenate([getattr(self, f.name), getattr(others, f.name)])
                for f in fields(self)
            )
        )

    def where_same(self, others: "Members") -> IntArray:
        """By row of others, the row here that says the same; -1 where none does."""
        if not len(self.submission):
            return np.full(len(others.submission), -1)
        order = np.argsort(self.submission)
        place = np.searchsorted(self.submission, others.submission, sorter=order)
        row = order[np.minimum(place, len(order) - 1)]
        same = np.ones(len(row), dtype=np.bool_)
        for field in fields(self):
            mine, theirs = getattr(self, field.name)[row], getattr(others, field.name)
            close = np.isclose(mine, theirs, rtol=0.0, atol=_SAME, equal_nan=True)
            same &= close if close.ndim == 1 else close.all(axis=1)
        return np.where(same, row, -1)


def group_and_staff(members: Members) -> tuple[Context, Context]:
    """Return what a class says of each of its rows: for the group, and for staff."""
    # Groups whose vial nobody knows are no lot of their own.
    log_iron = np.where(members.lot == NO_LOT, np.nan, members.log_iron)
    for_group = class_context(
        members.log_absorptivity,
        members.station,
        log_iron=log_iron,
        lot=members.lot,
        standard_mass_g=members.standard_mass_g,
        unknown_mass_g=members.unknown_mass_g,
        care=members.care,
    )
    return for_group, told_the_answer(
        for_group, members.log_assigned, members.assigned_sd
    )


def stored_members(protocol_id: int, care_levels: int) -> Members:
    """Read all current submissions of a protocol that have an answer; two queries.

    Answers of an earlier version of the computation, which may hold fewer shares,
    say nothing.
    """
    rows = list(
        Submission.objects.filter(
            protocol_id=protocol_id, is_current=True, answer__isnull=False
        )
        .order_by("pk")
        .annotate(shares=Cast("answer__care", TextField()))
        .values_list(
            "pk",
            "group_id",
            "station_id",
            "vial__lot_id",
            "answer__log_absorptivity",
            "answer__iron_percent",
            "standard_mass_g",
            "unknown_mass_g",
            "received_at",
            "shares",
        )
    )
    # Parsed as one text: a large class is read again and again.
    care = orjson.loads(f"[{','.join(row[-1] for row in rows)}]")
    is_whole = [len(shares) == care_levels for shares in care]
    rows, care = list(compress(rows, is_whole)), list(compress(care, is_whole))
    lot = whole([row[3] for row in rows])
    return Members(
        whole([row[0] for row in rows]),
        whole([row[1] for row in rows]),
        whole([row[2] for row in rows]),
        lot,
        real([row[4] for row in rows]),
        log_of_positive(real([row[5] for row in rows])),
        real([row[6] for row in rows]),
        real([row[7] for row in rows]),
        np.array(care, dtype=np.float64).reshape(-1, care_levels),
        *assigned_at(lot, [row[8] for row in rows]),
    )


def assigned_at(lot: IntArray, received_at: Sequence[Any]) -> tuple[FloatArray, ...]:
    """Return log assigned values and relative uncertainties by row; one query."""
    lots = lot.tolist()
    values = AssignedValues(lots)
    found = [
        values.at(one, moment) for one, moment in zip(lots, received_at, strict=True)
    ]
    iron = real([one.iron_percent if one else None for one in found])
    u_iron = real([one.u_iron_percent if one else None for one in found])
    return np.log(iron), u_iron / iron


def log_of_positive(values: FloatArray) -> FloatArray:
    """Return logarithms; NaN where there is none."""
    with np.errstate(invalid="ignore"):
        return np.log(np.where(values > 0.0, values, np.nan))


def real(values: Sequence[float | None]) -> FloatArray:
    """Return numbers as an array, NaN for nothing."""
    return np.array([np.nan if v is None else v for v in values], dtype=np.float64)
