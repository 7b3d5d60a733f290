"""Findings that only show against other groups; for staff alone."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

import numpy as np

from results.models import (
    Answer,
    AssignedValues,
    Finding,
    Lot,
    Protocol,
    Submission,
)
from results.models.outcomes import Audience
from results.recompute.context import OwnSummary
from results.recompute.pending import enqueue
from results.recompute.readings import ProtocolBatch, load_batches
from results.science.diagnosis import Finding as Noticed
from results.science.diagnosis import other_lot, same_readings

# Enough of a class to tell how often two groups agree by chance.
_SAMPLE = 300
_SAME = "same_readings"

_Values = tuple[tuple[int, float], ...]


def seen_against_others(
    batch: ProtocolBatch, own: OwnSummary, now: datetime
) -> list[Noticed]:
    """Return what a batch's submissions share with other groups or other lots."""
    return _of_other_lots(batch, own) + _same_readings(batch, own, now)


def _of_other_lots(batch: ProtocolBatch, own: OwnSummary) -> list[Noticed]:
    course_id = Protocol.objects.values_list("course_id", flat=True).get(
        pk=batch.protocol_id
    )
    lots = list(Lot.objects.filter(course_id=course_id).values_list("pk", flat=True))
    values = AssignedValues(lots)
    held = batch.lot.tolist()
    # Rows that the same values held for are compared at once: nearly always all.
    by_values: dict[_Values, list[int]] = {}
    for moment, rows in _by_moment(batch).items():
        at = _values_at(values, lots, moment)
        with_value = {lot_id for lot_id, _ in at}
        by_values.setdefault(at, []).extend(r for r in rows if held[r] in with_value)
    found = []
    for at, rows in by_values.items():
        place = {lot_id: index for index, (lot_id, _) in enumerate(at)}
        noticed = other_lot(
            own.log_iron[rows],
            np.array([place[held[row]] for row in rows], dtype=np.int64),
            np.log(np.array([iron for _, iron in at])),
        )
        found += [replace(one, row=rows[one.row]) for one in noticed]
    return found


def _by_moment(batch: ProtocolBatch) -> dict[datetime, list[int]]:
    rows: dict[datetime, list[int]] = {}
    for row, moment in enumerate(batch.received_at):
        rows.setdefault(moment, []).append(row)
    return rows


def _values_at(
    values: AssignedValues, lots: Iterable[int], moment: datetime
) -> _Values:
    """Return lots that have a value with what it was at a moment."""
    return tuple(
        (lot_id, value.iron_percent)
        for lot_id in lots
        if (value := values.at(lot_id, moment)) is not None
    )


def _same_readings(
    batch: ProtocolBatch, own: OwnSummary, now: datetime
) -> list[Noticed]:
    twins = _twins(batch, own)
    if not twins and len(set(own.digests)) == len(own.digests):
        return []
    sample = set(
        Answer.objects.filter(
            submission__protocol_id=batch.protocol_id, submission__is_current=True
        )
        .order_by("-submission_id")
        .values_list("submission_id", flat=True)[:_SAMPLE]
    )
    others = (sample | twins).difference(batch.submission_ids)
    found: set[int] = set()
    noticed = []
    parts = [batch, *load_batches(Submission.objects.filter(pk__in=others))]
    replicates = max(part.replicates for part in parts)
    ids = [pk for part in parts for pk in part.submission_ids]
    for one in same_readings(
        np.concatenate([part.signals(replicates) for part in parts]),
        np.concatenate([part.group for part in parts]),
    ):
        found.add(ids[one.row])
        noticed.append((ids[one.row], one))
    _tell_the_twins(found & twins, now)
    row_of = {pk: row for row, pk in enumerate(batch.submission_ids)}
    return [replace(one, row=row_of[pk]) for pk, one in noticed if pk in row_of]


def _twins(batch: ProtocolBatch, own: OwnSummary) -> set[int]:
    """Return other current submissions with the readings of one of the batch."""
    # By their index alone, first: asked for together with the class, SQLite would go
    # through the whole class for every batch.
    alike = Answer.objects.filter(readings_digest__in=own.digests)
    others = set(alike.values_list("submission_id", flat=True))
    others.difference_update(batch.submission_ids)
    if not others:
        return others
    return set(
        Submission.objects.filter(
            pk__in=others, protocol_id=batch.protocol_id, is_current=True
        ).values_list("pk", flat=True)
    )


def _tell_the_twins(twins: set[int], now: datetime) -> None:
    """Have those computed again that were alone when they were computed."""
    told = Finding.objects.filter(
        submission_id__in=twins, code=_SAME, audience=Audience.STAFF
    ).values_list("submission_id", flat=True)
    enqueue(twins - set(told), reason="same readings came", now=now)
