"""Computed arrays turned into rows of answers and findings."""

import math
from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from typing import Any

from results.models import Answer, Finding
from results.policy.findings import is_staff_only
from results.recompute.readings import ProtocolBatch
from results.science.answer import Answers
from results.science.budget import SOURCES
from results.science.class_scale import ClassScale
from results.science.diagnosis import Finding as Noticed

METHOD = "effective-1"
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
ANSWER_FIELDS = (
    "computed_at",
    "computations",
    "method",
    "reason",
    "n_standards",
    "n_unknowns",
    *_NUMBERS,
    "uses_fieller",
    "details",
    "points",
)


def answer_rows(
    batch: ProtocolBatch, answers: Answers, scales: list[ClassScale], now: datetime
) -> Iterator[Answer]:
    """Yield one unsaved answer for each submission of the batch.

    Parameters
    ----------
    scales : list of ClassScale
        By row, the class scale that its answer was computed with.
    """
    columns = {name: getattr(answers, name).tolist() for name in _NUMBERS}
    reasons = answers.reason.tolist()
    n_standards = answers.n_standards.tolist()
    n_unknowns = answers.n_unknowns.tolist()
    uses_fieller = answers.uses_fieller.tolist()
    details = {name: getattr(answers, name).tolist() for name in _DETAILS}
    points = _points(batch, answers)
    for row, submission_id in enumerate(batch.submission_ids):
        yield Answer(
            submission_id=submission_id,
            computed_at=now,
            method=METHOD,
            reason=reasons[row],
            n_standards=n_standards[row],
            n_unknowns=n_unknowns[row],
            uses_fieller=uses_fieller[row],
            details={
                **{name: _finite(column[row]) for name, column in details.items()},
                "class_scale": asdict(scales[row]),
            },
            points=points[row],
            **{name: _finite(column[row]) for name, column in columns.items()},
        )


def _points(batch: ProtocolBatch, answers: Answers) -> list[list[dict[str, Any]]]:
    standards = batch.scheme.standard_labels
    unknowns = batch.scheme.unknown_labels
    return [
        [
            _point(label, "standard", mg_L, absorbance)
            for label, mg_L, absorbance in zip(standards, x, y, strict=True)
            if not math.isnan(absorbance)
        ]
        + [
            _point(label, "unknown", None, absorbance)
            for label, absorbance in zip(unknowns, u, strict=True)
            if not math.isnan(absorbance)
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
        "mg_L": None if mg_L is None else _finite(mg_L),
        "absorbance": absorbance,
    }


def finding_rows(batch: ProtocolBatch, noticed: list[Noticed]) -> Iterator[Finding]:
    """Yield one unsaved finding for each thing that was noticed."""
    for one in noticed:
        yield Finding(
            submission_id=batch.submission_ids[one.row],
            code=one.code,
            tube=one.tube,
            probability=min(max(float(one.probability), 0.0), 1.0),
            staff_only=is_staff_only(one.code),
            numbers=dict(one.numbers),
        )


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
