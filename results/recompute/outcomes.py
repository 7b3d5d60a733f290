"""Computed arrays turned into columns of answers and rows of findings."""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict
from datetime import datetime
from typing import Any, TypeVar, cast

import numpy as np

from results.models import Finding
from results.models.outcomes import Audience
from results.policy.findings import is_staff_only
from results.recompute.context import OwnSummary
from results.recompute.readings import ProtocolBatch
from results.recompute.upsert import Columns
from results.science.answer import Answers
from results.science.arrays import FloatArray
from results.science.budget import SOURCES
from results.science.class_scale import ClassScale
from results.science.diagnosis import Finding as Noticed
from results.science.worked import WorkedFinding

METHOD = "effective-3"
_NUMBERS = (
    "slope",
    "slope_se",
    "intercept",
    "intercept_se",
    "residual_sd",
    "r_squared",
    "unknown_mg_L",
    "unknown_mg_L_se",
    "iron_percent",
    "standard_uncertainty",
    "low",
    "high",
    "phi",
    "df",
)
_DETAILS = (
    "moderated_phi",
    "moderated_df",
    "fieller_g",
    "effective_df",
    "coverage_factor",
    "molar_absorptivity",
    "molar_absorptivity_se",
    "mandel_f",
    "mandel_p",
    "lack_of_fit_f",
    "lack_of_fit_p",
    "detection_limit_mg_L",
    "quantification_limit_mg_L",
    "detection_limit_percent",
    "quantification_limit_percent",
    *(f"u_{source}" for source in SOURCES),
)


def answer_columns(
    batch: ProtocolBatch,
    answers: Answers,
    own: OwnSummary,
    scales: list[ClassScale],
    now: datetime,
) -> Columns:
    """Return the fields of the batch's answers, each with one value a submission.

    Parameters
    ----------
    own : OwnSummary
        What each group adds to its class's context.
    scales : list of ClassScale
        By row, the class scale that its answer was computed with.
    """
    rows = len(batch.submission_ids)
    return {
        "submission_id": batch.submission_ids,
        "computed_at": [now] * rows,
        "method": [METHOD] * rows,
        "reason": answers.reason.tolist(),
        "n_standards": answers.n_standards.tolist(),
        "n_unknowns": answers.n_unknowns.tolist(),
        **{name: _finite(getattr(answers, name)) for name in _NUMBERS},
        "log_absorptivity": _finite(own.log_absorptivity),
        # Nothing rather than NaN, which JSON has no word for.
        "care": [
            row if all(map(math.isfinite, row)) else [] for row in own.care.tolist()
        ],
        "readings_digest": own.digests,
        "uses_fieller": answers.uses_fieller.tolist(),
        "details": list(_details(answers, scales)),
        "points": _points(batch, answers),
    }


def _details(answers: Answers, scales: list[ClassScale]) -> Iterator[dict[str, Any]]:
    # A class has one scale or two: each is written out once.
    written = {id(scale): asdict(scale) for scale in scales}
    columns = [getattr(answers, name).tolist() for name in _DETAILS]
    for scale, *numbers in zip(scales, *columns, strict=True):
        details = dict(zip(_DETAILS, numbers, strict=True))
        details["class_scale"] = written[id(scale)]
        yield details


def _points(batch: ProtocolBatch, answers: Answers) -> list[list[dict[str, Any]]]:
    standards = batch.scheme.standard_labels
    unknowns = batch.scheme.unknown_labels
    return [
        [
            _point(label, "standard", mg_L, absorbance)
            for label, mg_L, absorbance in zip(standards, x, y, strict=True)
            if math.isfinite(absorbance)
        ]
        + [
            _point(label, "unknown", None, absorbance)
            for label, absorbance in zip(unknowns, u, strict=True)
            if math.isfinite(absorbance)
        ]
        for x, y, u in zip(
            answers.concentration_mg_L.tolist(),
            answers.standard_absorbance.tolist(),
            answers.unknown_absorbance.tolist(),
            strict=True,
        )
    ]


def _point(
    tube: str, kind: str, mg_L: float | None, absorbance: float
) -> dict[str, Any]:
    return {
        "tube": tube,
        "kind": kind,
        "mg_L": mg_L,
        "absorbance": absorbance,
    }


def finding_rows(
    batch: ProtocolBatch, noticed: Iterable[Noticed], audience: Audience
) -> Iterator[Finding]:
    """Yield unsaved findings, the likeliest of those that are named alike."""
    for one in _likeliest(noticed, lambda one: (one.row, one.code, one.tube)):
        if audience is Audience.GROUP and is_staff_only(one.code):
            continue
        yield Finding(
            submission_id=batch.submission_ids[one.row],
            audience=audience,
            code=one.code,
            tube=one.tube,
            probability=_probability(one.probability),
            members=list(one.members),
            numbers=dict(one.numbers),
        )


def worked_rows(
    batch: ProtocolBatch, noticed: Iterable[WorkedFinding]
) -> Iterator[Finding]:
    """Yield unsaved findings about worked answers, for both audiences.

    They rest on the group's own readings alone, so both are told the same.
    """
    for one in _likeliest(noticed, lambda one: (one.row, one.code, one.stage)):
        for audience in Audience:
            yield Finding(
                submission_id=batch.submission_ids[one.row],
                audience=audience,
                code=one.code,
                stage=one.stage,
                harmless=one.harmless,
                probability=_probability(one.probability),
                members=list(one.members),
                numbers=dict(one.numbers),
            )


_Any = TypeVar("_Any", Noticed, WorkedFinding)


def _likeliest(
    noticed: Iterable[_Any], key: Callable[[_Any], tuple[int, str, str]]
) -> Iterable[_Any]:
    best: dict[tuple[int, str, str], _Any] = {}
    for one in sorted(noticed, key=lambda one: -one.probability):
        best.setdefault(key(one), one)
    return best.values()


def _probability(value: float) -> float:
    return min(max(float(value), 0.0), 1.0)


def _finite(values: FloatArray) -> list[float | None]:
    numbers: Any = values.astype(object)
    numbers[~np.isfinite(values)] = None
    return cast("list[float | None]", numbers.tolist())
