"""What the rest of the class says about one group, without the group's own say."""

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from results.science.answer import Answers, Readings
from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.diagnosis.assumptions import LOOSE_REFERENCE
from results.science.diagnosis.habits import assumed_habits, habits_of_class
from results.science.diagnosis.lots import WAYS, LotReference, lot_reference
from results.science.diagnosis.medians import robust_sd, row_median
from results.science.diagnosis.stations import (
    FEWEST_GROUPS,
    GROUP_SD,
    station_reference,
)
from results.science.dilution import Scheme


@dataclass(frozen=True, slots=True)
class Context:
    """References for N groups, each without the group's own readings.

    NaN stands for "nothing known".

    Attributes
    ----------
    log_absorptivity, log_absorptivity_sd : array (N,)
        Natural logarithm of absorbance per mg/L at the group's station.
    log_iron, log_iron_sd : array (N,)
        Natural logarithm of the iron content in percent: the median of the lot in
        the students' view, the assigned value in the staff's.
    other_iron, other_iron_sd, other_weight : array (N, W)
        What the content may be instead, where few groups share the lot and one of
        them may have slipped, and how likely that is; NaN and zero where it cannot.
    standard_mass_sd_g, unknown_mass_sd_g : array (N,)
        Spread of the class's weighings; NaN where a mass equal to the plan's says
        nothing.
    care : array (N, K)
        Share of the class that works at each level of care.
    slipped : array (N,)
        Share of the class in which something went wrong.
    tells_answer : bool
        Whether figures about the iron content may be given with a finding: only in
        the staff's view.
    """

    log_absorptivity: FloatArray
    log_absorptivity_sd: FloatArray
    log_iron: FloatArray
    log_iron_sd: FloatArray
    standard_mass_sd_g: FloatArray
    unknown_mass_sd_g: FloatArray
    care: FloatArray
    slipped: FloatArray
    other_iron: FloatArray
    other_iron_sd: FloatArray
    other_weight: FloatArray
    tells_answer: bool = False

    @property
    def is_blind(self) -> BoolArray:
        """Groups (N,) of whose iron content next to nothing is known."""
        with np.errstate(invalid="ignore"):
            return ~(self.log_iron_sd < LOOSE_REFERENCE)

    def with_other_iron(self, way: int) -> "Context":
        """Return the context under another of the contents it may be."""
        return replace(
            self,
            log_iron=self.other_iron[:, way],
            log_iron_sd=self.other_iron_sd[:, way],
        )

    def rows(self, chosen: IntArray | slice) -> "Context":
        """Return the references of some of the groups."""
        arrays = {f.name: getattr(self, f.name) for f in fields(self)}
        arrays.pop("tells_answer")
        return replace(self, **{name: a[chosen] for name, a in arrays.items()})


def join_contexts(parts: list[Context]) -> Context:
    """Put the contexts of some groups behind one another."""
    arrays: dict[str, Any] = {
        f.name: np.concatenate([getattr(one, f.name) for one in parts])
        for f in fields(Context)
        if f.name != "tells_answer"
    }
    return replace(parts[0], **arrays)


def no_context(groups: int) -> Context:
    """Return the context of groups of whose class nothing is known."""
    nothing = np.full(groups, np.nan)
    habits = assumed_habits(groups)
    other = np.full((groups, WAYS - 1), np.nan)
    return Context(
        log_absorptivity=nothing,
        log_absorptivity_sd=nothing,
        log_iron=nothing,
        log_iron_sd=nothing,
        standard_mass_sd_g=nothing,
        unknown_mass_sd_g=nothing,
        care=habits.care,
        slipped=habits.slipped,
        other_iron=other,
        other_iron_sd=other,
        other_weight=np.zeros_like(other),
    )


def own_log_absorptivity(
    scheme: Scheme, readings: Readings, answers: Answers
) -> FloatArray:
    """Log of each group's median absorbance per mg/L of its standards, shape (N,).

    One number a group: what a class's context is made of, to be stored beside the
    answer.  NaN where no standard has an absorbance.  A mass typed a power of ten
    off the plan is taken as meant, so that it does not spoil the class.
    """
    concentration = answers.concentration_mg_L
    with np.errstate(all="ignore"):
        decades = np.round(np.log10(readings.standard_mass_g / scheme.standard_mass_g))
        meant = np.power(10.0, np.where(np.isfinite(decades), decades, 0.0))
        ratio = answers.standard_absorbance / concentration * meant[:, None]
        ratio = np.where((concentration > 0.0) & (ratio > 0.0), ratio, np.nan)
        return np.log(row_median(ratio))


def own_log_iron(answers: Answers) -> FloatArray:
    """Log of each group's iron content, shape (N,); NaN where it has none."""
    with np.errstate(all="ignore"):
        positive = np.where(answers.iron_percent > 0.0, answers.iron_percent, np.nan)
        return np.log(positive)


def class_context(  # noqa: PLR0913 - one keyword for each thing stored of a group
    log_absorptivity: FloatArray,
    station: IntArray,
    *,
    log_iron: FloatArray | None = None,
    lot: IntArray | None = None,
    standard_mass_g: FloatArray | None = None,
    unknown_mass_g: FloatArray | None = None,
    care: FloatArray | None = None,
) -> Context:
    """Rebuild every group's context from one or two stored numbers a group.

    Parameters
    ----------
    log_absorptivity : array (N,)
        From `own_log_absorptivity`.
    station : array of int (N,)
    log_iron : array (N,), optional
        From `own_log_iron`; with ``lot`` it gives the students' view, in which no
        assigned value takes part.
    lot : array of int (N,), optional
    standard_mass_g, unknown_mass_g : array (N,), optional
        The class's weighings.
    care : array (N, 2K + 1), optional
        What a group alone says of its care and of slips, from
        `results.science.diagnosis.care_of`.

    Notes
    -----
    Leave-one-out medians by sorted ranks, O(N log N).  A station's median is shrunk
    towards the class's by the spread of stations; a station far off the class is
    not used at all, for linear shrinkage would carry its fault into its groups.
    """
    e, e_sd = station_reference(np.asarray(log_absorptivity, float), station)
    groups = len(e)
    iron = _iron_reference(log_iron, lot, groups)
    habits = assumed_habits(groups) if care is None else habits_of_class(care)
    return Context(
        log_absorptivity=e,
        log_absorptivity_sd=e_sd,
        log_iron=iron.centre[:, 0],
        log_iron_sd=iron.sd[:, 0],
        other_iron=iron.centre[:, 1:],
        other_iron_sd=iron.sd[:, 1:],
        other_weight=iron.weight[:, 1:],
        standard_mass_sd_g=_mass_sd(standard_mass_g, groups),
        unknown_mass_sd_g=_mass_sd(unknown_mass_g, groups),
        care=habits.care,
        slipped=habits.slipped,
    )


def told_the_answer(
    context: Context, assigned_log_iron: FloatArray, assigned_sd: FloatArray
) -> Context:
    """Return the staff's view: the assigned value takes the place of the lot's median.

    Parameters
    ----------
    assigned_log_iron, assigned_sd : array (N,)
        Log of the assigned value and its relative standard uncertainty; NaN where
        there is none, and the median stays.
    """
    known = np.isfinite(assigned_log_iron)
    one = known[:, None]
    return replace(
        context,
        log_iron=np.where(known, assigned_log_iron, context.log_iron),
        log_iron_sd=np.where(known, assigned_sd, context.log_iron_sd),
        other_iron=np.where(one, np.nan, context.other_iron),
        other_iron_sd=np.where(one, np.nan, context.other_iron_sd),
        other_weight=np.where(one, 0.0, context.other_weight),
        tells_answer=True,
    )


def _iron_reference(
    log_iron: FloatArray | None, lot: IntArray | None, groups: int
) -> LotReference:
    if log_iron is None or lot is None:
        unknown = np.full((groups, WAYS), np.nan)
        return LotReference(unknown, unknown, np.zeros_like(unknown))
    return lot_reference(
        np.asarray(log_iron, float), lot, least_sd=GROUP_SD, fewest=FEWEST_GROUPS
    )


def _mass_sd(mass_g: FloatArray | None, groups: int) -> FloatArray:
    """Spread of a class's weighings; NaN where many masses are alike."""
    if mass_g is None or np.isfinite(mass_g).sum() < FEWEST_GROUPS:
        return np.full(groups, np.nan)
    present = np.sort(mass_g[np.isfinite(mass_g)])
    sd = robust_sd(present)
    _, times = np.unique(present, return_counts=True)
    # Where a class weighs to the plan, or copies one mass, equality is no sign.
    honest = sd > 0.0 and int(times.max()) <= max(2.0, 0.15 * len(present))
    return np.full(groups, sd if honest else np.nan)
