"""What a worker does: claim a batch, compute it at once, store it in one go."""

import logging
from collections.abc import Callable
from datetime import datetime

from django.db import (
    DatabaseError,
    DataError,
    IntegrityError,
    InterfaceError,
    transaction,
)

from results.models import Answer, Finding, Submission, WorkBatch
from results.recompute import pending
from results.recompute.batch import Outcome, compute_batch
from results.recompute.classes import class_scales
from results.recompute.context import Classes
from results.recompute.grades import refresh_grades_of
from results.recompute.outcomes import ANSWER_FIELDS
from results.recompute.pending import Claim
from results.recompute.readings import load_batches
from results.science.class_scale import OWN_SCALE

logger = logging.getLogger(__name__)


def work_off(
    *,
    clock: Callable[[], datetime],
    limit: int | None = None,
    told: Callable[[int], object] = lambda _: None,
) -> int:
    """Compute everything that waits, batch by batch.

    Parameters
    ----------
    clock : callable
        Returns the time; asked anew for every batch.
    limit : int, optional
        Most submissions in a batch. Without one, batches double while more than a
        batch waits: whole courses go by faster so, and single ones wait for nobody.
    told : callable
        Called with the number of submissions after each batch.

    Returns
    -------
    int
        Number of submissions that were tried.
    """
    tried, classes = 0, Classes()
    most = limit or pending.BATCH_SIZE
    while (claim := pending.claim(now=(started := clock()), limit=most)).requests:
        failed = _compute_or_split(claim, sorted(claim.requests), classes, clock)
        size = len(claim.requests)
        _note(started, clock(), size, failed)
        tried += size
        told(size)
        if limit is None and size == most:
            most = min(2 * most, pending.LARGEST_BATCH)
    return tried


def forget_batches(*, before: datetime) -> int:
    """Forget what workers did before a moment; return how many batches that were."""
    forgotten, _ = WorkBatch.objects.filter(finished_at__lt=before).delete()
    return forgotten


def _note(started: datetime, now: datetime, size: int, failed: int) -> None:
    WorkBatch.objects.create(
        finished_at=now,
        # A clock that was set back makes no batch shorter than nothing.
        seconds=max(0.0, (now - started).total_seconds()),
        size=size,
        failed=failed,
    )


def _compute_or_split(
    claim: Claim, ids: list[int], classes: Classes, clock: Callable[[], datetime]
) -> int:
    """Compute and store together; on an error, halve until the culprit is alone.

    Returns
    -------
    int
        How many had an error.
    """
    try:
        answers, findings = _compute(ids, classes, clock())
        classes.stored(_store(claim, ids, answers, findings, clock()))
    except Exception as error:
        if _befell_the_database(error):
            # Nothing is wrong with the submissions: the lease brings them back.
            raise
        if len(ids) > 1:
            middle = len(ids) // 2
            halves = ids[:middle], ids[middle:]
            return sum(
                _compute_or_split(claim, half, classes, clock) for half in halves
            )
        logger.exception("Submission %s could not be computed", ids[0])
        pending.fail(claim, ids[0], error=_in_words(error), now=clock())
        return 1
    return 0


def _befell_the_database(error: Exception) -> bool:
    """Tell a lost connection or a full disk from values that cannot be stored."""
    return isinstance(error, (DatabaseError, InterfaceError)) and not isinstance(
        error, (DataError, IntegrityError)
    )


def _compute(ids: list[int], classes: Classes, now: datetime) -> Outcome:
    answers: list[Answer] = []
    findings: list[Finding] = []
    scales = class_scales()
    for batch in load_batches(Submission.objects.filter(pk__in=ids)):
        scale = scales.get(batch.protocol_id, OWN_SCALE)
        computed, found = compute_batch(batch, scale, classes, now)
        answers.extend(computed)
        findings.extend(found)
    return answers, findings


def _store(
    claim: Claim,
    ids: list[int],
    answers: list[Answer],
    findings: list[Finding],
    now: datetime,
) -> list[Answer]:
    with transaction.atomic():
        # A worker that lost its lease writes nothing: another one has the rows.
        owned = pending.still_owned(claim).intersection(ids)
        before = dict(
            Answer.objects.filter(submission_id__in=owned).values_list(
                "submission_id", "computations"
            )
        )
        kept = [answer for answer in answers if answer.submission_id in owned]
        for answer in kept:
            answer.computations = before.get(answer.submission_id, 0) + 1
        Answer.objects.bulk_create(
            kept,
            update_conflicts=True,
            unique_fields=["submission"],
            update_fields=ANSWER_FIELDS,
        )
        Finding.objects.filter(submission_id__in=owned).delete()
        Finding.objects.bulk_create(
            finding for finding in findings if finding.submission_id in owned
        )
        refresh_grades_of(owned, now=now)
        pending.finish(claim, owned)
    return kept


def _in_words(error: Exception) -> str:
    return f"{type(error).__name__}: {error}"
