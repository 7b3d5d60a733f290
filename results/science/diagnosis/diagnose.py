"""Says what probably went wrong with each submission of a batch."""

from collections.abc import Iterator

import numpy as np
from scipy.special import ndtr

from results.science.answer import Answers, Readings, Reason
from results.science.diagnosis.context import Context, no_context
from results.science.diagnosis.explain import explain
from results.science.diagnosis.finding import Finding
from results.science.diagnosis.report import report
from results.science.dilution import Scheme
from results.science.scales import unreadable

#: Sd of one tube's absorbance that "beyond the standards" is judged by, at least.
_TUBE_SD = 0.004


def diagnose(
    scheme: Scheme,
    readings: Readings,
    answers: Answers,
    *,
    context: Context | None = None,
) -> list[Finding]:
    """Look for slips in every submission of a batch.

    Parameters
    ----------
    scheme : Scheme
    readings : Readings
        Of N submissions.
    answers : Answers
        `compute_answers` of the same scheme and readings.
    context : Context, optional
        What the class says of each of them; see `class_context`.

    Returns
    -------
    list of Finding
        In the order of the rows; within a row, the surest first.  A row's findings
        depend on its own readings and context only.
    """
    groups = len(readings.standard_mass_g)
    known = no_context(groups) if context is None else context
    found = [*_unreadable(scheme, readings), *_out_of_range(answers)]
    taken = {(one.row, one.code, one.tube) for one in found}
    with np.errstate(all="ignore"):
        for piece in explain(scheme, readings, known):
            found += [
                one
                for one in report(scheme, known, piece)
                if (one.row, one.code, one.tube) not in taken
            ]
    return sorted(found, key=lambda finding: (finding.row, -finding.probability))


def _unreadable(scheme: Scheme, readings: Readings) -> Iterator[Finding]:
    """Report readings at or below 0 %T: they have no absorbance."""
    labels = scheme.standard_labels + scheme.unknown_labels
    for row, tube in np.argwhere(unreadable(readings)).tolist():
        yield Finding(row, "mistyped_reading", labels[tube], 1.0, {})


def _out_of_range(answers: Answers) -> Iterator[Finding]:
    """Report unknowns that lie beyond the standards."""
    standards = answers.standard_absorbance
    missing = np.isnan(standards)
    low = np.min(np.where(missing, np.inf, standards), axis=1)
    high = np.max(np.where(missing, -np.inf, standards), axis=1)
    with np.errstate(all="ignore"):
        unknown = answers.intercept + answers.slope * answers.unknown_mg_L
        beyond = np.maximum(unknown - high, low - unknown)
        sd = np.fmax(np.abs(answers.residual_sd), _TUBE_SD)
        sure = ndtr(beyond / sd)
    judged = (answers.reason == Reason.COMPUTED) & (beyond > 0.0) & np.isfinite(sure)
    for row in np.flatnonzero(judged).tolist():
        numbers = {
            "absorbance": float(unknown[row]),
            "lowest_standard_absorbance": float(low[row]),
            "highest_standard_absorbance": float(high[row]),
        }
        yield Finding(row, "out_of_range", "", float(sure[row]), numbers)
