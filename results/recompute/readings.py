"""Stored submissions laid out as arrays, one batch for each protocol."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np
from django.db.models import QuerySet

from results.models import Protocol, Reading, Submission
from results.policy.protocol import read_protocol
from results.policy.typed import BLANK, OWN_FIELDS, Scale
from results.science.answer import Readings
from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.dilution import Scheme
from results.science.worked import ReportedValues

NO_LOT = -1
_PLACES = ("group_id", "station_id", "vial__lot_id", "received_at", "is_current")


@dataclass(frozen=True, slots=True)
class ProtocolBatch:
    """Submissions under one protocol.

    Attributes
    ----------
    submission_ids : list of int
        The submissions, in the order of the arrays' rows.
    group, station, lot : array of int (N,)
        Whose they are, read where, of which lot; `NO_LOT` where nobody knows.
    received_at : list of datetime
    is_current : array of bool (N,)
    """

    protocol_id: int
    scheme: Scheme
    submission_ids: list[int]
    readings: Readings
    reported: list[ReportedValues]
    group: IntArray
    station: IntArray
    lot: IntArray
    received_at: list[datetime]
    is_current: BoolArray

    @property
    def submission(self) -> IntArray:
        """The submissions as an array (N,)."""
        return whole(self.submission_ids)

    @property
    def replicates(self) -> int:
        """The most readings of one tube."""
        return int(self.readings.standard_signal.shape[2])

    def signals(self, replicates: int | None = None) -> FloatArray:
        """Return all meter values, shape (N, all tubes and replicates).

        Parameters
        ----------
        replicates : int, optional
            Places for each tube, NaN where there is no reading; as many as are needed.
        """
        more = (replicates or self.replicates) - self.replicates
        tubes = np.concatenate(
            [self.readings.standard_signal, self.readings.unknown_signal], axis=1
        )
        padded = np.pad(tubes, ((0, 0), (0, 0), (0, more)), constant_values=np.nan)
        return padded.reshape(len(self.submission_ids), -1)


def load_batches(submissions: QuerySet[Submission]) -> Iterator[ProtocolBatch]:
    """Read the submissions and their readings; three queries, however many rows."""
    by_protocol: dict[int, list[Any]] = defaultdict(list)
    for row in submissions.values_list(
        "pk",
        "protocol_id",
        "standard_mass_g",
        "unknown_mass_g",
        "scale",
        "station__scale",
        "station__step",
        *_PLACES,
        *OWN_FIELDS,
    ):
        by_protocol[row[1]].append(row)
    values: dict[int, list[Any]] = defaultdict(list)
    for submission_id, *reading in Reading.objects.filter(
        submission__in=submissions.values("pk")
    ).values_list("submission_id", "tube", "replicate", "value", "taken_mL"):
        values[submission_id].append(reading)
    for protocol in Protocol.objects.filter(pk__in=by_protocol):
        scheme = read_protocol(protocol.document).scheme
        yield _lay_out(protocol.pk, scheme, by_protocol[protocol.pk], values)


def _lay_out(
    protocol_id: int, scheme: Scheme, rows: list[Any], values: dict[int, list[Any]]
) -> ProtocolBatch:
    ids = [row[0] for row in rows]
    replicates = max((reading[1] for pk in ids for reading in values[pk]), default=1)
    standards = _Side(
        scheme.standard_labels, scheme.standard_take_mL, len(ids), replicates
    )
    unknowns = _Side(
        scheme.unknown_labels, scheme.unknown_take_mL, len(ids), replicates
    )
    blanks = _Side((BLANK,), np.full(1, np.nan), len(ids), replicates)
    sides_of: dict[str, list[_Side]] = defaultdict(list)
    for side in (standards, unknowns, blanks):
        for tube in side.column:
            sides_of[tube].append(side)
    for row, pk in enumerate(ids):
        for tube, replicate, value, taken_mL in values[pk]:
            for side in sides_of.get(tube, ()):
                side.put(row, tube, replicate, value, taken_mL)
    return ProtocolBatch(
        protocol_id,
        scheme,
        ids,
        Readings(
            standard_mass_g=np.array([row[2] for row in rows], dtype=float),
            unknown_mass_g=np.array([row[3] for row in rows], dtype=float),
            standard_taken_mL=standards.taken_mL,
            unknown_taken_mL=unknowns.taken_mL,
            standard_signal=standards.signal,
            unknown_signal=unknowns.signal,
            is_absorbance=np.array([row[4] == Scale.ABSORBANCE for row in rows]),
            # A station's step counts on its own scale; typed on the other one, the
            # readings went through somebody's conversion, and the scheme's counts.
            step=np.array([row[6] if row[4] == row[5] else np.nan for row in rows]),
            blank_signal=blanks.signal[:, 0, :],
        ),
        [ReportedValues(**_reported(row[12:])) for row in rows],
        group=whole([row[7] for row in rows]),
        station=whole([row[8] for row in rows]),
        lot=whole([row[9] for row in rows]),
        received_at=[row[10] for row in rows],
        is_current=np.array([row[11] for row in rows], dtype=np.bool_),
    )


def whole(values: Sequence[int | None]) -> IntArray:
    """Return keys as an array, `NO_LOT` for nothing."""
    return np.array([NO_LOT if v is None else v for v in values], dtype=np.int64)


def _reported(own: tuple[str, ...]) -> dict[str, str]:
    return {
        name.removeprefix("own_"): digits
        for name, digits in zip(OWN_FIELDS, own, strict=True)
    }


class _Side:
    """The arrays of the standards, or of the unknown tubes."""

    def __init__(
        self,
        labels: tuple[str, ...],
        take_mL: np.ndarray,
        submissions: int,
        replicates: int,
    ) -> None:
        self.column = {label: column for column, label in enumerate(labels)}
        self.taken_mL = np.tile(take_mL, (submissions, 1))
        self.signal = np.full((submissions, len(labels), replicates), np.nan)

    def put(
        self, row: int, tube: str, replicate: int, value: float, taken_mL: float | None
    ) -> None:
        """Enter a reading of a tube of this side."""
        column = self.column[tube]
        self.signal[row, column, replicate - 1] = value
        if taken_mL is not None:
            self.taken_mL[row, column] = taken_mL
