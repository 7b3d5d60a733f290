"""One protocol's answers: readings in, iron content and its interval out."""

import numpy as np

from results.science.arrays import BoolArray, FloatArray
from results.science.batch import Terms, compute_rows
from results.science.calibration import Method
from results.science.class_scale import OWN_SCALE, ClassScale
from results.science.dilution import Scheme
from results.science.outcome import Answers, Reason
from results.science.readings import Readings, read_tubes
from results.science.result import Result

__all__ = [
    "Answers",
    "Method",
    "Readings",
    "Reason",
    "compute_answers",
    "tube_absorbance",
]

#: Groups computed at a time: their arrays stay in the processor's cache.
CHUNK = 8192


def compute_answers(
    scheme: Scheme,
    readings: Readings,
    *,
    method: Method = "effective",
    class_scale: ClassScale | None = None,
    flagged: BoolArray | None = None,
) -> Answers:
    """Compute every submission's answer at once.

    Each replicate is converted to absorbance, then averaged; the standards' line is
    fitted by weighted least squares, with the variance that is declared of readings
    and fillings; the mean unknown absorbance is read off it.  The scale of the
    scatter is each group's own, moderated by its class where that is given; what the
    tubes share (masses, chains, purity) is added as type B uncertainty, from the
    scheme's tolerances.  Where the unknown tubes hold different volumes, the mean
    absorbance belongs to the mean dilution, which is what the answer is computed
    with.

    Parameters
    ----------
    scheme : Scheme
        How every one of the submissions was made.
    readings : Readings
        Of N submissions; N may be zero.
    method : {"effective", "weighted", "plain"}
        "weighted" leaves the fillings out of the weights; "plain" is the textbook's
        unweighted line and interval, without type B uncertainty.
    class_scale : ClassScale, optional
        From `fit_class_scale`, on ``phi`` and ``df`` of a first computation.
    flagged : array of bool (N,), optional
        Groups with a slip, whose scatter is not that of their class: they keep
        their own scale.

    Returns
    -------
    Answers
        A row depends on its own readings (and the class scale) only, to the last
        bit.
    """
    groups = len(readings)
    if flagged is None:
        flagged = np.zeros(groups, dtype=np.bool_)
    terms = Terms.of(scheme, method, OWN_SCALE if class_scale is None else class_scale)
    result = Result.empty(scheme, groups)
    with np.errstate(all="ignore"):
        for start in range(0, groups, CHUNK):
            rows = slice(start, start + CHUNK)
            compute_rows(terms, readings.rows(rows), flagged[rows], result.rows(rows))
        return result.answers()


def tube_absorbance(signal: FloatArray, is_absorbance: BoolArray) -> FloatArray:
    """Mean absorbance of each tube's replicates, from either scale.

    Parameters
    ----------
    signal : array (N, k, R)
    is_absorbance : array of bool (N,)

    Returns
    -------
    array (N, k)
        NaN for a tube without a usable reading; a replicate at or below 0 %T is
        not usable.

    Examples
    --------
    >>> tube_absorbance(np.array([[[10.0, np.nan]]]), np.array([False])).tolist()
    [[1.0]]
    """
    with np.errstate(all="ignore"):
        return np.ascontiguousarray(read_tubes(signal, is_absorbance).absorbance.T)
