"""One batch of submissions computed: answers, findings of the bench and on paper."""

from collections.abc import Iterable
from datetime import datetime

import numpy as np

from results.models import Finding
from results.models.outcomes import Audience
from results.recompute.context import Classes, summarise
from results.recompute.outcomes import answer_columns, finding_rows, worked_rows
from results.recompute.readings import ProtocolBatch
from results.recompute.upsert import Columns
from results.recompute.wholeclass import seen_against_others
from results.science.answer import compute_answers
from results.science.arrays import BoolArray
from results.science.class_scale import OWN_SCALE, ClassScale
from results.science.diagnosis import Finding as Noticed
from results.science.diagnosis import diagnose
from results.science.worked import check_worked

Outcome = tuple[Columns, list[Finding]]

# These say nothing about the scatter of a group's tubes. With `unknown_side` it
# matters twice: a group sees its slope's uncertainty, and must not see in it what
# only staff are told.
_HARMLESS = frozenset({"out_of_range", "nominal_mass", "unknown_side"})
_LIKELY = 0.5


def compute_batch(
    batch: ProtocolBatch, scale: ClassScale, classes: Classes, now: datetime
) -> Outcome:
    """Return a batch's unsaved answers and findings.

    What a group is told, and which groups keep their own scale, rests on the
    diagnosis that knows no assigned value.
    """
    first = compute_answers(batch.scheme, batch.readings)
    own = summarise(batch, first)
    contexts = classes.contexts_of(batch, own)
    for_group = diagnose(
        batch.scheme, batch.readings, first, context=contexts.for_group
    )
    for_staff = diagnose(
        batch.scheme, batch.readings, first, context=contexts.for_staff
    )
    for_staff += seen_against_others(batch, own, now)
    flagged = _flagged(len(batch.submission_ids), for_group)
    answers = compute_answers(
        batch.scheme, batch.readings, class_scale=scale, flagged=flagged
    )
    worked = check_worked(batch.scheme, batch.readings, answers, batch.reported)
    scales = [OWN_SCALE if is_flagged else scale for is_flagged in flagged]
    return (
        answer_columns(batch, answers, own, scales, now),
        [
            *finding_rows(batch, for_group, Audience.GROUP),
            *finding_rows(batch, for_staff, Audience.STAFF),
            *worked_rows(batch, worked),
        ],
    )


def _flagged(n_rows: int, noticed: Iterable[Noticed]) -> BoolArray:
    flagged = np.zeros(n_rows, dtype=np.bool_)
    for finding in noticed:
        if finding.probability >= _LIKELY and finding.code not in _HARMLESS:
            flagged[finding.row] = True
    return flagged
