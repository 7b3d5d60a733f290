"""What a worker does: claim a batch, compute it at once, store it in one go."""

import gc
import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from itertools import compress
from uuid import UUID

from django.db import (
    DatabaseError,
    DataError,
    IntegrityError,
    InterfaceError,
    transaction,
)

from results.models import Answer, Finding, Submission, WorkBatch
from results.recompute import pending
from results.recompute.batch import compute_batch
from results.recompute.classes import class_scales
from results.recompute.context import Classes
from results.recompute.grades import refresh_grades_of
from results.recompute.owners import at_work, left_behind
from results.recompute.pending import Claim
from results.recompute.readings import load_batches
from results.recompute.upsert import Columns, upsert
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
    if not pending.is_anything_left():
        return 0
    with left_behind() as ended:
        if ended:
            pending.free(ended, now=clock())
    with at_work() as owner:
        return sum(_batches(owner, clock, limit, told))


def _batches(
    owner: UUID,
    clock: Callable[[], datetime],
    limit: int | None,
    told: Callable[[int], object],
) -> Iterator[int]:
    classes, most = Classes(), limit or pending.BATCH_SIZE
    while (
        claim := pending.claim(now=(started := clock()), limit=most, owner=owner)
    ).requests:
        with _collector_at_rest():
            failed = _compute_or_split(claim, sorted(claim.requests), classes, clock)
        size = len(claim.requests)
        _note(started, clock(), size, failed)
        told(size)
        yield size
        if limit is None and size == most:
            most = min(2 * most, pending.LARGEST_BATCH)


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Let the collector of cycles wait: a batch makes a million objects and no cycle.

    Looking through them took a third of a batch's time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


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


def _compute(
    ids: list[int], classes: Classes, now: datetime
) -> tuple[list[Columns], list[Finding]]:
    answers: list[Columns] = []
    findings: list[Finding] = []
    scales = class_scales()
    for batch in load_batches(Submission.objects.filter(pk__in=ids)):
        scale = scales.get(batch.protocol_id, OWN_SCALE)
        computed, found = compute_batch(batch, scale, classes, now)
        answers.append(computed)
        findings.extend(found)
    return answers, findings


def _store(
    claim: Claim,
    ids: list[int],
    answers: list[Columns],
    findings: list[Finding],
    now: datetime,
) -> dict[int, float | None]:
    """Store what the claim still owns; return the iron contents by submission."""
    with transaction.atomic():
        # A worker that lost its lease writes nothing: another one has the rows.
        owned = pending.still_owned(claim).intersection(ids)
        kept = [_of_those(owned, columns) for columns in answers]
        for columns in kept:
            upsert(Answer, columns, unique="submission_id", counter="computations")
        Finding.objects.filter(submission_id__in=owned).delete()
        Finding.objects.bulk_create(
            finding for finding in findings if finding.submission_id in owned
        )
        refresh_grades_of(owned, now=now)
        pending.finish(claim, owned)
    return {
        submission_id: iron
        for columns in kept
        for submission_id, iron in zip(
            columns["submission_id"], columns["iron_percent"], strict=True
        )
    }


def _of_those(owned: set[int], columns: Columns) -> Columns:
    is_owned = [submission_id in owned for submission_id in columns["submission_id"]]
    return {name: list(compress(values, is_owned)) for name, values in columns.items()}


def _in_words(error: Exception) -> str:
    return f"{type(error).__name__}: {error}"
