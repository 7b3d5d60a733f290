"""The effects of a course's stations, lots and sections, kept up in the background."""

import math
from collections import defaultdict
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any

import numpy as np
from django.db.models import Count, Max, QuerySet, Sum
from numpy.typing import ArrayLike

from results.models import (
    Answer,
    AssignedValue,
    Course,
    PendingRecompute,
    Reading,
    StoredEffects,
)
from results.policy.typed import BLANK, Scale
from results.recompute.class_rows import ClassRows, class_rows
from results.science.arrays import FloatArray, IntArray
from results.science.control_chart import watch
from results.science.drift import History, histories
from results.science.effects import CrossedEffects, crossed_effects
from results.science.effects.document import VERSION, dump, real
from results.science.robust import h_and_k, h_limit, k_limit

#: While answers keep coming in, effects are fitted anew at most this often.
_PATIENCE = timedelta(minutes=1)
#: Fewer weeks, or assistants, than this show no spread of their own.
_FEWEST_LEVELS = 3
#: How far all answers of a class may usually be off together, relative; judgement.
_CLASS_BIAS = 0.01
_QUANTILES = (0.1, 0.25, 0.5, 0.75, 0.9)
_BLANK_TARGET = {Scale.PERCENT_T: 100.0, Scale.ABSORBANCE: 0.0}


def refresh_effects(*, now: datetime, course_id: int | None = None) -> int:
    """Fit the effects of courses whose answers changed; return of how many.

    Parameters
    ----------
    course_id : int, optional
        Only this course, and without waiting for answers that are still to come.
    """
    courses = Course.objects.all()
    if course_id is not None:
        courses = courses.filter(pk=course_id)
    stored = {one.course_id: one for one in StoredEffects.objects.defer("document")}
    busy = set(
        PendingRecompute.objects.filter(parked_at__isnull=True).values_list(
            "submission__group__section__course_id", flat=True
        )
    )
    refreshed = 0
    for pk, basis in _bases(courses).items():
        before = stored.get(pk)
        if before and _basis_of(before) == basis:
            continue
        if pk in busy and course_id is None and _is_recent(before, now):
            continue
        StoredEffects.objects.update_or_create(
            course_id=pk,
            defaults={
                **asdict(basis),
                "fitted_at": now,
                "document": effects_document(pk),
            },
        )
        refreshed += 1
    return refreshed


@dataclass(frozen=True, slots=True)
class _Basis:
    """What stored effects rest on; when it changes they are due anew."""

    n_answers: int
    latest_answer_at: datetime
    values_digest: str
    version: int = VERSION


def _basis_of(stored: StoredEffects) -> _Basis:
    return _Basis(
        stored.n_answers,
        stored.latest_answer_at,
        stored.values_digest,
        stored.version,
    )


def _bases(courses: QuerySet[Course]) -> dict[int, _Basis]:
    """Return what effects would rest on now, of courses with answers; two queries."""
    ids = courses.values("pk")
    values: dict[int, list[str]] = defaultdict(list)
    for course_id, *assigned in (
        AssignedValue.objects.filter(lot__course__in=ids)
        .order_by("lot_id", "valid_from")
        .values_list(
            "lot__course_id", "lot_id", "iron_percent", "u_iron_percent", "valid_from"
        )
    ):
        values[course_id].append(repr(assigned))
    return {
        # Of two answers the later computed may bear the earlier time, by a clock that
        # was set back; computations only grow.
        pk: _Basis(
            n, latest, sha256("".join([*values[pk], str(done)]).encode()).hexdigest()
        )
        for pk, n, latest, done in Answer.objects.filter(
            submission__group__section__course__in=ids, submission__is_current=True
        )
        .values_list("submission__group__section__course_id")
        .annotate(n=Count("pk"), latest=Max("computed_at"), done=Sum("computations"))
        .order_by()
    }


def _is_recent(stored: StoredEffects | None, now: datetime) -> bool:
    return stored is not None and abs(now - stored.fitted_at) < _PATIENCE


def effects_document(course_id: int) -> dict[str, Any]:
    """Fit everything that `StoredEffects` holds of a course; five queries."""
    rows = class_rows(course_id)
    recovery = _fitted(rows, rows.log_recovery, ("lot", "section", "station"))
    return {
        "responses": {
            "slope": _fitted(rows, rows.log_slope, ("station", "section")),
            "recovery": recovery,
            "curvature": _fitted(rows, rows.curvature, ("station", "section")),
        },
        "left_out": rows.left_out.tolist(),
        "sections": _quantiles(rows),
        "consistency": _consistency(rows, recovery["set_aside"]),
        "cells": _cells(rows),
        "histories": [
            _history(one) for one in histories(rows.log_slope, rows.station, rows.week)
        ],
        "blanks": _blanks(course_id),
    }


def _fitted(rows: ClassRows, y: FloatArray, factors: tuple[str, ...]) -> dict[str, Any]:
    labels: dict[str, ArrayLike] = {name: getattr(rows, name) for name in factors}
    for name in ("assistant", "week"):
        column = getattr(rows, name)
        n_levels = np.unique(column).size
        # As many as sections: then each is one section, and nothing tells them apart.
        if _FEWEST_LEVELS <= n_levels < np.unique(rows.section).size:
            labels[name] = column
    effects = crossed_effects(
        y,
        labels,
        declared_sd={"lot": rows.lot_sd},
        overall_sd=_CLASS_BIAS if "lot" in labels else math.inf,
    )
    return {**dump(effects), "set_aside": _groups_of(effects, rows.group)}


def _groups_of(effects: CrossedEffects, group: IntArray) -> list[int]:
    return list(group[effects.set_aside].tolist())


def _quantiles(rows: ClassRows) -> list[list[float | int | None]]:
    """By section: its id, n, and quantiles of the error in percent."""
    error = 100.0 * np.expm1(rows.log_recovery)
    found: list[list[float | int | None]] = []
    for section in np.unique(rows.section).tolist():
        own = error[(rows.section == section) & np.isfinite(error)]
        if own.size:
            at = np.quantile(own, _QUANTILES).tolist()
            found.append([section, int(own.size), *map(real, at)])
    return found


def _consistency(rows: ClassRows, set_aside: list[int]) -> list[list[Any]]:
    """By section: its id, Mandel's h and k of its recoveries, and their 1 % limits.

    Without the groups set aside: the standard has outliers removed before.
    """
    usable = np.isfinite(rows.log_recovery) & ~np.isin(rows.group, set_aside)
    sections, codes, count = np.unique(
        rows.section[usable], return_inverse=True, return_counts=True
    )
    if sections.size < _FEWEST_LEVELS:
        return []
    order = np.argsort(codes, kind="stable")
    column = np.arange(order.size) - np.repeat(np.cumsum(count) - count, count)
    table = np.full((sections.size, int(count.max())), np.nan)
    table[codes[order], column] = rows.log_recovery[usable][order]
    h, k = h_and_k(table)
    limit = h_limit(sections.size)
    return [
        [
            section,
            real(one_h),
            real(one_k),
            real(limit),
            real(k_limit(sections.size, n)) if n > 1 else None,
        ]
        for section, one_h, one_k, n in zip(
            sections.tolist(), h.tolist(), k.tolist(), count.tolist(), strict=True
        )
    ]


def _cells(rows: ClassRows) -> list[list[float | int | None]]:
    """By section and station met: ids, n, medians of error and slope, in percent."""
    keys, inverse = np.unique(
        np.stack([rows.section, rows.station], axis=1), axis=0, return_inverse=True
    )
    order = np.argsort(inverse, kind="stable")
    parts = np.split(order, np.cumsum(np.bincount(inverse))[:-1]) if len(keys) else []
    usual = _median(rows.log_slope)
    return [
        [
            section,
            station,
            len(part),
            real(100.0 * float(np.expm1(_median(rows.log_recovery[part])))),
            real(100.0 * float(np.expm1(_median(rows.log_slope[part]) - usual))),
        ]
        for (section, station), part in zip(keys.tolist(), parts, strict=True)
    ]


def _median(values: FloatArray) -> float:
    known = values[np.isfinite(values)]
    return float(np.median(known)) if known.size else float("nan")


def _history(one: History) -> dict[str, Any]:
    followed = one.followed
    return {
        "station": one.station,
        "periods": list(one.periods),
        "n": one.n.tolist(),
        "value": [real(v) for v in one.value.tolist()],
        "se": [real(v) for v in one.se.tolist()],
        "centre": real(one.centre),
        "smoothed": [real(v) for v in followed.smoothed.tolist()] if followed else [],
        "low": [real(v) for v in followed.low.tolist()] if followed else [],
        "high": [real(v) for v in followed.high.tolist()] if followed else [],
        "has_moved": one.has_moved,
    }


def _blanks(course_id: int) -> list[dict[str, Any]]:
    """Follow the blanks read at each station, on its own scale; one query."""
    read: dict[tuple[int, str, float], list[float]] = {}
    for station, scale, step, own_scale, value in (
        Reading.objects.filter(
            submission__group__section__course_id=course_id,
            submission__is_current=True,
            tube=BLANK,
        )
        .order_by("submission__received_at", "submission_id", "position")
        .values_list(
            "submission__station_id",
            "submission__station__scale",
            "submission__station__step",
            "submission__scale",
            "value",
        )
    ):
        if scale == own_scale:
            read.setdefault((station, scale, step), []).append(value)
    return [_blank(*key, values) for key, values in sorted(read.items())]


def _blank(
    station: int, scale: str, step: float, values: list[float]
) -> dict[str, Any]:
    target = _BLANK_TARGET[Scale(scale)]
    seen = watch(values, target=target, least_sd=step / float(np.sqrt(12.0)))
    return {
        "station": station,
        "scale": scale,
        "n": seen.n,
        "target": target,
        "latest": real(seen.latest),
        "warns": seen.warns,
    }
