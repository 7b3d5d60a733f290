"""Accepting one submission of one group."""

import hashlib
import json
from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Max, QuerySet

from results import tasks
from results.intake.drafts import close_draft
from results.models import (
    Group,
    Issue,
    Protocol,
    Reading,
    Section,
    Station,
    Submission,
    Vial,
)
from results.models.courses import protocol_in_force
from results.policy.admission import BenchRules, admit
from results.policy.protocol import read_protocol
from results.policy.refusals import KeyReused, SectionClosed, SectionNotOpen
from results.policy.typed import Admitted, RawSubmission, fold
from results.recompute import enqueue


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
) -> Accepted:
    """Store one submission with its pending work, in one transaction.

    Repeating a request under its key stores nothing and answers as the first.

    Raises
    ------
    SectionNotOpen, SectionClosed, NoProtocol, KeyReused, NotAdmitted
        Nothing was stored; the refusal says what to mend.
    """
    with transaction.atomic():
        accepted = store_submission(
            group_id=group_id,
            raw=raw,
            source=source,
            idempotency_key=idempotency_key,
            received_at=received_at,
        )
        if accepted.created:
            close_draft(group_id=group_id, raw=raw, revision=accepted.revision)
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
        # The group's row is the lock under which its revisions are numbered.
        group = (
            Group.objects.select_for_update(of=("self",))
            .select_related("section__course")
            .get(pk=group_id)
        )
        digest = _digest(raw)
        earlier = group.submissions.filter(idempotency_key=idempotency_key).first()
        if earlier is not None:
            if earlier.content_digest != digest:
                raise KeyReused
            return _accepted(earlier, created=False)
        _check_times(group.section, received_at)
        protocol = protocol_in_force(group.section.course)
        admitted = admit(raw, _rules(group, protocol, raw, lenient=lenient))
        submission = _store(
            group=group,
            protocol=protocol,
            admitted=admitted,
            submission=Submission(
                source=source,
                idempotency_key=idempotency_key,
                content_digest=digest,
                received_at=received_at,
            ),
        )
        enqueue([submission.pk], reason="submitted", now=received_at)
    return _accepted(submission, created=True)


def _check_times(section: Section, now: datetime) -> None:
    if section.opens_at is not None and now < section.opens_at:
        raise SectionNotOpen(section.code, section.opens_at)
    if section.closes_at is not None and now >= section.closes_at:
        raise SectionClosed(section.code, section.closes_at)


def _rules(
    group: Group, protocol: Protocol, raw: RawSubmission, *, lenient: bool
) -> BenchRules:
    stations = Station.objects.filter(course_id=protocol.course_id)
    vials: QuerySet[Vial] = Vial.objects.filter(course_id=protocol.course_id)
    if not lenient:
        vials = vials.exclude(issues__in=Issue.objects.live().exclude(group=group))
    vials = _vials_like(raw.vial.strip(), vials)
    return BenchRules(
        protocol=read_protocol(protocol.document),
        stations={fold(code): code for code in stations.values_list("code", flat=True)},
        vials={fold(code): code for code in vials.values_list("code", flat=True)},
        vials_checked=group.section.course.vial_labels_checked,
        lenient=lenient,
    )


def _vials_like(typed: str, vials: QuerySet[Vial]) -> QuerySet[Vial]:
    """Return the vial of a code as typed, or else all that it could mean."""
    if not typed:
        return vials.none()
    exact = vials.filter(code=typed)
    return exact if exact.exists() else vials


def _store(
    *, group: Group, protocol: Protocol, admitted: Admitted, submission: Submission
) -> Submission:
    course_id, due_at = group.section.course_id, group.section.due_at
    last = group.submissions.aggregate(last=Max("revision"))["last"] or 0
    group.submissions.filter(is_current=True).update(is_current=False)
    submission.group = group
    submission.protocol = protocol
    submission.revision = last + 1
    submission.is_late = due_at is not None and submission.received_at > due_at
    submission.station = Station.objects.get(course_id=course_id, code=admitted.station)
    submission.vial = _vial(group, course_id, admitted.vial)
    submission.scale = admitted.scale
    submission.standard_mass_g = admitted.standard_mass_g
    submission.unknown_mass_g = admitted.unknown_mass_g
    for name, digits in admitted.own.items():
        setattr(submission, name, digits)
    submission.save()
    Reading.objects.bulk_create(
        Reading(submission=submission, **asdict(reading))
        for reading in admitted.readings
    )
    return submission


def _vial(group: Group, course_id: int, code: str) -> Vial | None:
    if code:
        return Vial.objects.get(course_id=course_id, code=code)
    issue = (
        Issue.objects.filter(group=group, ended_at__isnull=True)
        .select_related("vial")
        .first()
    )
    return issue.vial if issue else None


def _digest(raw: RawSubmission) -> str:
    content = json.dumps(asdict(raw), sort_keys=True)
    return hashlib.sha256(content.encode()).hexdigest()


def _accepted(submission: Submission, *, created: bool) -> Accepted:
    return Accepted(
        submission_id=submission.pk,
        revision=submission.revision,
        received_at=submission.received_at,
        is_late=submission.is_late,
        created=created,
    )
