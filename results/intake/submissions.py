"""Accepting one submission of one group."""

import hashlib
import json
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from results import tasks
from results.intake.at_bench import AtBench, look_at_bench
from results.intake.drafts import close_draft
from results.models import Issue, Reading, Section, Station, Submission, Vial
from results.policy.admission import BenchRules, admit
from results.policy.drafts import Pressed
from results.policy.refusals import KeyReused, SectionClosed, SectionNotOpen
from results.policy.typed import Admitted, RawSubmission, fold
from results.recompute import enqueue_new


@dataclass(frozen=True, slots=True)
class Accepted:
    """What became of a submission; `created` is false for a repeated request."""

    submission_id: int
    revision: int
    received_at: datetime
    is_late: bool
    created: bool


def accept_submission(
    *,
    group_id: int,
    raw: RawSubmission,
    source: str,
    idempotency_key: str,
    received_at: datetime,
    pressed: Pressed | None = None,
) -> Accepted:
    """Store one submission with its pending work, in one transaction.

    Repeating a request under its key stores nothing and answers as the first.

    Parameters
    ----------
    pressed : Pressed, optional
        Which phone's sheet this is; see `close_draft`.

    Raises
    ------
    SectionNotOpen, SectionClosed, NoProtocol, KeyReused, NotAdmitted
        Nothing was stored; the refusal says what to mend.
    """
    with transaction.atomic():
        accepted, bench = _store(
            group_id=group_id,
            raw=raw,
            source=source,
            idempotency_key=idempotency_key,
            received_at=received_at,
        )
        if accepted.created and bench.has_draft:
            close_draft(
                group_id=group_id,
                raw=raw,
                revision=accepted.revision,
                pressed=pressed,
            )
        # Where others wait, theirs is on its way to a worker, who asks again until
        # nothing waits: in a rush, most need to send none.
        if not bench.others_wait:
            transaction.on_commit(tasks.wake_worker)
    return accepted


def store_submission(
    *,
    group_id: int,
    raw: RawSubmission,
    source: str,
    idempotency_key: str,
    received_at: datetime,
    lenient: bool = False,
) -> Accepted:
    """Store one submission as `accept_submission` does, and wake nobody.

    For callers that store many and wake a worker once.

    Parameters
    ----------
    lenient : bool
        Admit what nobody is there to look at again; see `BenchRules`.
    """
    with transaction.atomic():
        accepted, _ = _store(
            group_id=group_id,
            raw=raw,
            source=source,
            idempotency_key=idempotency_key,
            received_at=received_at,
            lenient=lenient,
        )
    return accepted


def _store(
    *,
    group_id: int,
    raw: RawSubmission,
    source: str,
    idempotency_key: str,
    received_at: datetime,
    lenient: bool = False,
) -> tuple[Accepted, AtBench]:
    bench = look_at_bench(
        group_id=group_id,
        station=raw.station.strip(),
        idempotency_key=idempotency_key,
        now=received_at,
    )
    digest = _digest(raw)
    if bench.earlier_id is not None:
        earlier = Submission.objects.get(pk=bench.earlier_id)
        if earlier.content_digest != digest:
            raise KeyReused
        return _accepted(earlier, created=False), bench
    _check_times(bench)
    admitted = admit(raw, _rules(group_id, bench, raw, lenient=lenient))
    submission = _insert(
        Submission(
            group_id=group_id,
            source=source,
            idempotency_key=idempotency_key,
            content_digest=digest,
            received_at=received_at,
        ),
        bench,
        admitted,
    )
    enqueue_new(submission.pk, now=received_at)
    return _accepted(submission, created=True), bench


def _check_times(bench: AtBench) -> None:
    if not (bench.is_early or bench.is_closed):
        return
    section = Section.objects.get(pk=bench.section_id)
    if bench.is_early and section.opens_at is not None:
        raise SectionNotOpen(section.code, section.opens_at)
    if bench.is_closed and section.closes_at is not None:
        raise SectionClosed(section.code, section.closes_at)


def _rules(
    group_id: int, bench: AtBench, raw: RawSubmission, *, lenient: bool
) -> BenchRules:
    return BenchRules(
        protocol=bench.protocol(),
        stations=_stations_like(raw.station.strip(), bench),
        vials=_vials_like(raw.vial.strip(), group_id, bench, lenient=lenient),
        vials_checked=bench.vial_labels_checked,
        lenient=lenient,
    )


def _stations_like(typed: str, bench: AtBench) -> dict[str, str]:
    """Return the station of a code as typed, or else all that it could mean."""
    if bench.station_id is not None:
        return {fold(typed): typed}
    stations = Station.objects.filter(course_id=bench.course_id)
    return {fold(code): code for code in stations.values_list("code", flat=True)}


def _vials_like(
    typed: str, group_id: int, bench: AtBench, *, lenient: bool
) -> dict[str, str]:
    """Return the vial of a code as typed, or else all that it could mean."""
    if not typed:
        return {}
    vials: QuerySet[Vial] = Vial.objects.filter(course_id=bench.course_id)
    if not lenient:
        elsewhere = Issue.objects.live().exclude(group_id=group_id)
        vials = vials.exclude(issues__in=elsewhere)
    exact = vials.filter(code=typed)
    vials = exact if exact.exists() else vials
    return {fold(code): code for code in vials.values_list("code", flat=True)}


def _insert(submission: Submission, bench: AtBench, admitted: Admitted) -> Submission:
    if bench.standing_id is not None:
        Submission.objects.filter(pk=bench.standing_id).update(is_current=False)
    submission.protocol_id = bench.protocol_id
    submission.revision = bench.standing_revision + 1
    submission.is_late = bench.is_late
    submission.station_id = _station_id(bench, admitted.station)
    submission.vial_id = _vial_id(bench, admitted.vial)
    submission.scale = admitted.scale
    submission.standard_mass_g = admitted.standard_mass_g
    submission.unknown_mass_g = admitted.unknown_mass_g
    for name, digits in admitted.own.items():
        setattr(submission, name, digits)
    submission.save(force_insert=True)
    Reading.objects.bulk_create(
        Reading(
            submission=submission,
            position=one.position,
            tube=one.tube,
            replicate=one.replicate,
            value=one.value,
            taken_mL=one.taken_mL,
        )
        for one in admitted.readings
    )
    return submission


def _station_id(bench: AtBench, code: str) -> int:
    if bench.station_id is not None:
        return bench.station_id
    return Station.objects.get(course_id=bench.course_id, code=code).pk


def _vial_id(bench: AtBench, code: str) -> int | None:
    if not code:
        return bench.vial_id
    return Vial.objects.get(course_id=bench.course_id, code=code).pk


def _digest(raw: RawSubmission) -> str:
    content = json.dumps(raw, default=_fields_of, sort_keys=True)
    return hashlib.sha256(content.encode()).hexdigest()


def _fields_of(typed: Any) -> dict[str, Any]:
    """Return what a dataclass holds; `asdict` would copy every reading first."""
    return {one.name: getattr(typed, one.name) for one in fields(typed)}


def _accepted(submission: Submission, *, created: bool) -> Accepted:
    return Accepted(
        submission_id=submission.pk,
        revision=submission.revision,
        received_at=submission.received_at,
        is_late=submission.is_late,
        created=created,
    )
