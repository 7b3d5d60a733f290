"""Two slips at once: one among the standards or at the meter, one in the unknown.

The two live in nearly separate blocks of the readings.  The standards alone name the
first; with it mended, the unknown's tubes are looked at again.
"""

from dataclasses import dataclass, replace

import numpy as np

from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.diagnosis.context import Context
from results.science.diagnosis.hypotheses import Hypothesis, set_up
from results.science.diagnosis.model import expect
from results.science.diagnosis.posterior import Weighed, weigh
from results.science.diagnosis.record import Record
from results.science.dilution import Scheme

#: Shapes of slips in the unknown, its tubes or what was typed of them.
ANSWER_SHAPES = frozenset(
    {
        "unknown_loss",
        "unknown_gain",
        "unknown_far",
        "unknown_tube_far",
        "unknown_factor",
        "unknown_tube",
        "unknown_pale",
        "unknown_dark",
        "unknown_uncoloured",
        "unknown_mass_digits",
        "unknown_mass_nominal",
    }
)
_TYPED = frozenset({"digits_swapped", "tens_misread", "decimal_shifted"})


@dataclass(frozen=True, slots=True)
class Pairs:
    """Weight of "first and h" against all single explanations, for K groups.

    ``first`` (K,) is the hypothesis about the standards, ``weight`` (H, K) that of
    each hypothesis about the unknown being there too, in units of the density that
    ``log_density`` of the single explanations is in, its log taken off.
    """

    first: IntArray
    weight: FloatArray


def in_answer_block(one: Hypothesis, n: int) -> bool:
    """Whether a slip touches the unknown alone."""
    if one.shape in _TYPED:
        return bool(one.tubes) and one.tubes[0] >= n
    return one.shape in ANSWER_SHAPES


def pairs(scheme: Scheme, record: Record, context: Context, single: Weighed) -> Pairs:
    """Weigh pairs of slips for groups in which something went wrong.

    Parameters
    ----------
    scheme : Scheme
    record : Record
        Of K groups.
    context : Context
        Of the same groups.
    single : Weighed
        Their single explanations.
    """
    unknown = np.zeros(record.absorbance.shape, dtype=bool)
    unknown[record.n :] = True
    alone = weigh(set_up(scheme, record.without(unknown), context))
    first = np.argmax(alone.weight, axis=0)
    mended, loose = _mend(scheme, record, context, (alone.hypotheses, first))
    both = weigh(set_up(scheme, mended, loose))
    rest = weigh(set_up(scheme, mended.without(unknown), loose))
    answer = np.array([in_answer_block(h, record.n) for h in single.hypotheses])
    with np.errstate(all="ignore"):
        log_first = np.log(np.take_along_axis(alone.weight, first[None], 0)[0])
        # What the unknown's tubes say once the standards are mended.
        log_rest = np.log(rest.weight[0]) + rest.log_density
        gain = alone.log_density + log_first + both.log_density - log_rest
        weight = both.weight * np.exp(gain - single.log_density)
    named = (first > 0) & (first < len(alone.hypotheses) - 1)
    weight = np.where(answer[:, None] & named, weight, 0.0)
    return Pairs(first, np.where(np.isfinite(weight), weight, 0.0))


def _mend(
    scheme: Scheme,
    record: Record,
    context: Context,
    slips: tuple[tuple[Hypothesis, ...], IntArray],
) -> tuple[Record, Context]:
    """Undo the first slip of each group, or make what it spoils count for nothing."""
    hypotheses, first = slips
    chosen = [hypotheses[k] for k in first.tolist()]
    missing = np.zeros(record.absorbance.shape, dtype=bool)
    absorbance = record.absorbance.copy()
    vague_scale = np.zeros(len(chosen), dtype=bool)
    vague_zero = np.zeros(len(chosen), dtype=bool)
    for row, one in enumerate(chosen):
        if one.shape in {"swap", "swap_unknown"}:
            i, j = one.tubes
            absorbance[[i, j], row] = absorbance[[j, i], row]
        elif one.tubes:
            missing[list(one.tubes), row] = True
        elif one.shape.startswith(("standards", "salt")):
            missing[: record.n, row] = True
        elif one.shape.startswith("meter"):
            vague_scale[row] = True
        elif one.shape != "clean":
            vague_zero[row] = True
    zero = _own_zero(scheme, record, context, vague_zero)
    absorbance = np.where(record.present, absorbance - zero, 0.0)
    mended = replace(record, absorbance=absorbance).without(missing)
    own = expect_own(record)
    scale = np.where(vague_scale & np.isfinite(own), own, context.log_absorptivity)
    sd = np.where(vague_scale, 0.01, context.log_absorptivity_sd)
    return mended, replace(context, log_absorptivity=scale, log_absorptivity_sd=sd)


def expect_own(record: Record) -> FloatArray:
    """Log of the median absorbance per mg/L of the standards, shape (N,)."""
    with np.errstate(all="ignore"):
        content = np.where(record.content > 0.0, record.content, np.nan)
        ratio = np.where(record.present, record.absorbance / content, np.nan)
        ordered = np.sort(ratio[: record.n], axis=0)
        count = np.sum(~np.isnan(ordered), axis=0)
        place = np.maximum(count - 1, 0) // 2
        middle = np.take_along_axis(ordered, place[None], 0)[0]
        return np.asarray(np.log(middle))


def _own_zero(
    scheme: Scheme, record: Record, context: Context, wanted: BoolArray
) -> FloatArray:
    """Mean distance of the standards from the model where the zero is in doubt."""
    if not wanted.any():
        return np.zeros(len(record))
    mean = expect(scheme, record, context).mean[: record.n]
    away = np.where(record.present[: record.n], record.absorbance[: record.n] - mean, 0)
    count = np.maximum(record.present[: record.n].sum(axis=0), 1)
    return np.where(wanted, away.sum(axis=0) / count, 0.0)
