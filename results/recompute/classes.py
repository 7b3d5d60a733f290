"""What a class knows about itself, fitted to its current answers now and then.

A group's own scatter, from three degrees of freedom, says little; its class's says
more. The fit uses each group's own `phi`, which no fit changes, so that fitting and
computing again settles at once. It is made anew when the class has grown by a
tenth, not with every group: each fit has all current answers computed again.
"""

from collections.abc import Sequence
from datetime import datetime

import numpy as np
from django.db import transaction
from django.db.models import Count, F, QuerySet

from results.models import Answer, ClassFit, Protocol, Submission
from results.recompute.pending import enqueue
from results.science.class_scale import ClassScale, fit_class_scale

_GROWTH = 1.1


def class_scales() -> dict[int, ClassScale]:
    """Return the fitted class scales by protocol; one query."""
    return {
        protocol_id: ClassScale(s0_sq=s0_sq, d0=d0, n=n)
        for protocol_id, s0_sq, d0, n in ClassFit.objects.values_list(
            "protocol_id", "s0_sq", "d0", "n_groups"
        )
    }


def refresh_classes(
    *, now: datetime, course_id: int | None = None, grown_only: bool = True
) -> int:
    """Fit classes anew and ask for the recompute of those whose fit changed.

    Parameters
    ----------
    course_id : int, optional
        Only this course's protocols.
    grown_only : bool
        Leave classes as they are that have not grown by a tenth since their fit.

    Returns
    -------
    int
        Number of submissions that are to be computed again.
    """
    protocols = Protocol.objects.all()
    if course_id is not None:
        protocols = protocols.filter(course_id=course_id)
    asked = 0
    for protocol_id, n_groups in _class_sizes(protocols):
        fitted = ClassFit.objects.filter(protocol_id=protocol_id).first()
        if grown_only and fitted and n_groups < _GROWTH * fitted.n_groups:
            continue
        asked += _refit(protocol_id, fitted, now)
    return asked


def _class_sizes(protocols: QuerySet[Protocol]) -> Sequence[tuple[int, int]]:
    return list(
        Answer.objects.filter(
            submission__protocol__in=protocols,
            submission__is_current=True,
            phi__isnull=False,
        )
        .values_list(F("submission__protocol"))
        .annotate(n=Count("pk"))
        .order_by()
    )


def _refit(protocol_id: int, fitted: ClassFit | None, now: datetime) -> int:
    rows = np.array(
        Answer.objects.filter(
            submission__protocol_id=protocol_id,
            submission__is_current=True,
            phi__isnull=False,
        )
        .order_by("submission_id")
        .values_list("phi", "df"),
        dtype=np.float64,
    )
    scale = fit_class_scale(rows[:, 0], rows[:, 1])
    before = (fitted.s0_sq, fitted.d0, fitted.n_groups) if fitted else None
    with transaction.atomic():
        ClassFit.objects.update_or_create(
            protocol_id=protocol_id,
            defaults={
                "fitted_at": now,
                "n_groups": len(rows),
                "s0_sq": scale.s0_sq,
                "d0": scale.d0,
            },
        )
        # A class of another size has another context too, even on the same scale.
        if (scale.s0_sq, scale.d0, len(rows)) == before:
            return 0
        ids = Submission.objects.filter(
            protocol_id=protocol_id, is_current=True
        ).values_list("pk", flat=True)
        asked = list(ids)
        enqueue(asked, reason="class fitted anew", now=now)
    return len(asked)
