"""Doors for workers: a message wakes one, the table says what there is to do."""

import logging
import time
from datetime import timedelta

from celery import shared_task
from django.core.management import call_command
from django.utils import timezone
from kombu.exceptions import OperationalError

from results import recompute
from results.recompute.pending import BATCH_SIZE

logger = logging.getLogger(__name__)
# A message that nobody took in this time has been made needless by the sweep.
_MESSAGE_LIFE_S = 60
_BATCHES_KEPT = timedelta(days=7)
# A batch of one costs nearly what a batch of ten costs. Who sends alone is computed at
# once; in a rush, what comes in this time after a batch is the next one. Phones look
# for their answer less often.
_GATHER_S = 0.25


@shared_task(name="results.tasks.work_off")
def work_off() -> None:
    """Compute whatever waits; after each batch, let a small one gather."""
    recompute.work_off(clock=recompute.common_now, told=_let_gather)


def _let_gather(size: int) -> None:
    if size < BATCH_SIZE:
        time.sleep(_GATHER_S)


@shared_task(name="results.tasks.refresh_classes")
def refresh_classes() -> None:
    """Fit classes that have grown, what that changes, and the effects in them."""
    if recompute.refresh_classes(now=recompute.common_now()):
        recompute.work_off(clock=recompute.common_now)
    recompute.refresh_effects(now=recompute.common_now())


@shared_task(name="results.tasks.tidy")
def tidy() -> None:
    """Forget batches that nobody will ask about, and sessions that ended."""
    recompute.forget_batches(before=timezone.now() - _BATCHES_KEPT)
    call_command("clearsessions")


def wake_worker() -> None:
    """Send a message that work waits; without a broker the sweep finds it later."""
    try:
        work_off.apply_async(retry=False, expires=_MESSAGE_LIFE_S)
    except (OperationalError, OSError) as error:
        logger.warning("No worker could be woken: %s", error)
