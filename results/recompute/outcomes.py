"""Computed arrays turned into rows of answers and findings."""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict
from datetime import datetime
from typing import Any, TypeVar

from results.models import Answer, Finding
from results.models.outcomes import Audience
from results.policy.findings import is_staff_only
from results.recompute.context import OwnSummary
from results.recompute.readings import ProtocolBatch
from results.science.answer import Answers
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
ANSWER_FIELDS = (
    "log_absorptivity",
    "care",
    "readings_digest",
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
    batch: ProtocolBatch,
    answers: Answers,
    own: OwnSummary,
    scales: list[ClassScale],
    now: datetime,
) -> Iterator[Answer]:
    """Yield one unsaved answer for each submission of the batch.

    Parameters
    ----------
    own : OwnSummary
        What each group adds to its class's context.
    scales : list of ClassScale
        By row, the class scale that its answer was computed with.
    """
    columns = {name: getattr(answers, name).tolist() for name in _NUMBERS}
    details = {name: getattr(answers, name).tolist() for name in _DETAILS}
    others = {
        "reason": answers.reason.tolist(),
        "n_standards": answers.n_standards.tolist(),
        "n_unknowns": answers.n_unknowns.tolist(),
        "uses_fieller": answers.uses_fieller.tolist(),
        "points": _points(batch, answers),
        # Nothing rather than NaN, which JSON in PostgreSQL has no word for.
        "care": [
            row if all(map(math.isfinite, row)) else [] for row in own.care.tolist()
        ],
        "readings_digest": own.digests,
    }
    log_absorptivity = own.log_absorptivity.tolist()
    # A class has one scale or two: each is written out once.
    written = {id(scale): asdict(scale) for scale in scales}
    for row, submission_id in enumerate(batch.submission_ids):
        yield Answer(
            submission_id=submission_id,
            computed_at=now,
            method=METHOD,
            log_absorptivity=_finite(log_absorptivity[row]),
            details={
                **{name: _finite(column[row]) for name, column in details.items()},
                "class_scale": written[id(scales[row])],
            },
            **{name: _finite(column[row]) for name, column in columns.items()},
            **{name: column[row] for name, column in others.items()},
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


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
