"""What the class says of each submission of a batch, from stored answers.

Each answer keeps the one number and the few shares that its group adds to its
class; the context of a batch is made of those of every other current submission
under the protocol, and of the batch's own.
"""

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from results.models import AssignedValues, Submission
from results.recompute.readings import ProtocolBatch
from results.science.answer import Answers
from results.science.arrays import FloatArray, IntArray
from results.science.diagnosis import (
    Context,
    care_of,
    class_context,
    own_log_absorptivity,
    own_log_iron,
)

_NO_LOT = -1


@dataclass(frozen=True, slots=True)
class OwnSummary:
    """What each submission of a batch adds to its class.

    Attributes
    ----------
    log_absorptivity, log_iron : array (N,)
    care : array (N, K)
    digests : list of str
        Equal for submissions whose readings are the same value for value.
    """

    log_absorptivity: FloatArray
    log_iron: FloatArray
    care: FloatArray
    digests: list[str]


@dataclass(frozen=True, slots=True)
class Contexts:
    """The class's say for the group's own eyes, and for staff's."""

    for_group: Context
    for_staff: Context


@dataclass(frozen=True, slots=True)
class _Members:
    """Current submissions of a class, one row each."""

    received_at: list[datetime]
    station: IntArray
    lot: IntArray
    log_absorptivity: FloatArray
    log_iron: FloatArray
    standard_mass_g: FloatArray
    unknown_mass_g: FloatArray
    care: FloatArray


def summarise(batch: ProtocolBatch, answers: Answers) -> OwnSummary:
    """Return what each submission adds to its class."""
    return OwnSummary(
        log_absorptivity=own_log_absorptivity(batch.scheme, batch.readings, answers),
        log_iron=own_log_iron(answers),
        care=care_of(batch.scheme, batch.readings),
        digests=_digests(batch),
    )


def _digests(batch: ProtocolBatch) -> list[str]:
    typed = _typed(batch.signals())
    return [hashlib.sha256(repr(row).encode()).hexdigest() for row in typed]


def _typed(values: FloatArray) -> list[list[float]]:
    return [
        [round(value, 6) for value in row if not math.isnan(value)]
        for row in values.tolist()
    ]


def contexts_of(batch: ProtocolBatch, own: OwnSummary) -> Contexts:
    """Return both contexts of a batch; three queries."""
    others = _others(batch, own.care.shape[1])
    mine = _mine(batch, own)
    both = _joined(others, mine)
    log_assigned, assigned_sd = _assigned(both)
    # Groups whose vial nobody knows are no lot of their own.
    log_iron = np.where(both.lot == _NO_LOT, np.nan, both.log_iron)
    rows = np.arange(len(others.station), len(both.station))

    def context(
        assigned: FloatArray | None = None, sd: FloatArray | None = None
    ) -> Context:
        return class_context(
            both.log_absorptivity,
            both.station,
            log_iron=log_iron,
            lot=both.lot,
            assigned_log_iron=assigned,
            assigned_sd=sd,
            standard_mass_g=both.standard_mass_g,
            unknown_mass_g=both.unknown_mass_g,
            care=both.care,
        ).rows(rows)

    return Contexts(context(), context(log_assigned, assigned_sd))


def _others(batch: ProtocolBatch, care_levels: int) -> _Members:
    rows = list(
        Submission.objects.filter(
            protocol_id=batch.protocol_id, is_current=True, answer__isnull=False
        )
        .order_by("pk")
        .values_list(
            "pk",
            "received_at",
            "station_id",
            "vial__lot_id",
            "answer__log_absorptivity",
            "answer__iron_percent",
            "standard_mass_g",
            "unknown_mass_g",
            "answer__care",
        )
    )
    in_batch = set(batch.submission_ids)
    # Answers of an earlier version of the computation may hold fewer shares.
    kept = [
        row for row in rows if row[0] not in in_batch and len(row[-1]) == care_levels
    ]
    return _members(kept)


def _mine(batch: ProtocolBatch, own: OwnSummary) -> _Members:
    stored = {
        row[0]: row[1:]
        for row in Submission.objects.filter(pk__in=batch.submission_ids).values_list(
            "pk", "received_at", "station_id", "vial__lot_id"
        )
    }
    places = [stored[pk] for pk in batch.submission_ids]
    return _Members(
        received_at=[place[0] for place in places],
        station=_whole([place[1] for place in places]),
        lot=_whole([place[2] for place in places]),
        log_absorptivity=own.log_absorptivity,
        log_iron=own.log_iron,
        standard_mass_g=batch.readings.standard_mass_g,
        unknown_mass_g=batch.readings.unknown_mass_g,
        care=own.care,
    )


def _members(rows: Sequence[tuple]) -> _Members:  # type: ignore[type-arg]
    iron = _real([row[5] for row in rows])
    with np.errstate(all="ignore"):
        log_iron = np.log(np.where(iron > 0, iron, np.nan))
    return _Members(
        received_at=[row[1] for row in rows],
        station=_whole([row[2] for row in rows]),
        lot=_whole([row[3] for row in rows]),
        log_absorptivity=_real([row[4] for row in rows]),
        log_iron=log_iron,
        standard_mass_g=_real([row[6] for row in rows]),
        unknown_mass_g=_real([row[7] for row in rows]),
        care=np.array([row[8] for row in rows], dtype=np.float64),
    )


def _joined(others: _Members, mine: _Members) -> _Members:
    if not others.received_at:
        return mine
    arrays = {
        name: np.concatenate([getattr(others, name), getattr(mine, name)])
        for name in _Members.__slots__
        if name != "received_at"
    }
    return _Members(received_at=others.received_at + mine.received_at, **arrays)


def _assigned(members: _Members) -> tuple[FloatArray, FloatArray]:
    """Return log assigned values and relative uncertainties by row; NaN if none."""
    lots = members.lot.tolist()
    values = AssignedValues(lots)
    found = [
        values.at(lot, moment)
        for lot, moment in zip(lots, members.received_at, strict=True)
    ]
    iron = _real([one.iron_percent if one else None for one in found])
    u_iron = _real([one.u_iron_percent if one else None for one in found])
    return np.log(iron), u_iron / iron


def _whole(values: Sequence[int | None]) -> IntArray:
    return np.array([_NO_LOT if v is None else v for v in values], dtype=np.int64)


def _real(values: Sequence[float | None]) -> FloatArray:
    return np.array([np.nan if v is None else v for v in values], dtype=np.float64)
