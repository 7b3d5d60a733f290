"""What the rest of the class says about one group, without the group's own say."""

from dataclasses import dataclass, fields, replace

import numpy as np

from results.science.answer import Answers, Readings
from results.science.arrays import FloatArray, IntArray
from results.science.diagnosis.assumptions import CARE_GROUPS, CARE_LEVELS
from results.science.diagnosis.medians import median_of_others, robust_sd, row_median
from results.science.dilution import Scheme

#: A verdict about a station or a lot needs this many groups, the own one included.
FEWEST_GROUPS = 5
#: Spread of meters about the class, log scale, and how sure a class median is of one
#: group's absorptivity; judgement.
STATION_SD = 0.015
#: Own scatter of one group's log absorptivity and log iron content, at least.
GROUP_SD = 0.006
#: A station this many standard deviations off the class is not leaned on.
WILD = 3.0
#: A median varies this much more than a mean (normal distribution, large samples).
MEDIAN_FACTOR = 1.2533
#: Shares of the levels of care before a class has shown its own.
ASSUMED_CARE = np.array([level.weight for level in CARE_LEVELS])
_CARE_ROUNDS = 30


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
    standard_mass_sd_g, unknown_mass_sd_g : array (N,)
        Spread of the class's weighings; NaN where a mass equal to the plan's says
        nothing.
    care : array (N, K)
        Share of the class that works at each level of care.
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
    tells_answer: bool = False

    def rows(self, chosen: IntArray | slice) -> "Context":
        """Return the references of some of the groups."""
        arrays = {f.name: getattr(self, f.name) for f in fields(self)}
        arrays.pop("tells_answer")
        return replace(self, **{name: a[chosen] for name, a in arrays.items()})


def no_context(groups: int) -> Context:
    """Return the context of groups of whose class nothing is known."""
    nothing = np.full(groups, np.nan)
    care = np.tile(ASSUMED_CARE, (groups, 1))
    return Context(nothing, nothing, nothing, nothing, nothing, nothing, care)


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
    assigned_log_iron: FloatArray | None = None,
    assigned_sd: FloatArray | None = None,
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
    assigned_log_iron, assigned_sd : array (N,), optional
        Log of the assigned value and its relative standard uncertainty: the staff's
        view.  It takes the place of the lot's median.
    standard_mass_g, unknown_mass_g : array (N,), optional
        The class's weighings.
    care : array (N, K), optional
        How likely each level of care is by a group alone, from
        `results.science.diagnosis.care_of`.

    Notes
    -----
    Leave-one-out medians by sorted ranks, O(N log N).  A station's median is shrunk
    towards the class's by the spread of stations; a station far off the class is
    not used at all, for linear shrinkage would carry its fault into its groups.
    """
    e, e_sd = _station_reference(np.asarray(log_absorptivity, float), station)
    groups = len(e)
    iron, iron_sd = np.full(groups, np.nan), np.full(groups, np.nan)
    if log_iron is not None and lot is not None:
        iron, iron_sd = _lot_reference(np.asarray(log_iron, float), lot)
    if assigned_log_iron is not None:
        known = np.isfinite(assigned_log_iron)
        sd = 0.003 if assigned_sd is None else assigned_sd
        iron = np.where(known, assigned_log_iron, iron)
        iron_sd = np.where(known, sd, iron_sd)
    return Context(
        log_absorptivity=e,
        log_absorptivity_sd=e_sd,
        log_iron=iron,
        log_iron_sd=iron_sd,
        standard_mass_sd_g=_mass_sd(standard_mass_g, groups),
        unknown_mass_sd_g=_mass_sd(unknown_mass_g, groups),
        care=_care_of_class(care, groups),
        tells_answer=assigned_log_iron is not None,
    )


def _care_of_class(care: FloatArray | None, groups: int) -> FloatArray:
    """Share of each level of care among the others of a class, shape (N, K).

    Expectation and maximisation for the weights of a mixture (A. P. Dempster, N. M.
    Laird and D. B. Rubin, J. R. Stat. Soc. B 39, 1977, 1), from the assumed shares.
    """
    if care is None or groups == 0:
        return np.tile(ASSUMED_CARE, (groups, 1))
    known = np.where(np.isfinite(care).all(axis=1, keepdims=True), care, 1.0)
    share, mine = ASSUMED_CARE, known
    for _ in range(_CARE_ROUNDS):
        mine = known * share
        mine = mine / mine.sum(axis=1, keepdims=True)
        share = (CARE_GROUPS * ASSUMED_CARE + mine.sum(axis=0)) / (CARE_GROUPS + groups)
    others = CARE_GROUPS * ASSUMED_CARE + mine.sum(axis=0) - mine
    return np.asarray(others / (CARE_GROUPS + groups - 1))


def _station_reference(
    values: FloatArray, station: IntArray
) -> tuple[FloatArray, FloatArray]:
    everybody = median_of_others(values, np.zeros(len(values), dtype=np.int64))
    within, between = _spreads(values, station)
    here = median_of_others(values, station)
    with np.errstate(all="ignore"):
        variance = (MEDIAN_FACTOR * within) ** 2 / here.count
        class_variance = (MEDIAN_FACTOR * within) ** 2 / everybody.count
        shift = here.median - everybody.median
        share = between**2 / (between**2 + variance)
        wild = np.abs(shift) > WILD * np.sqrt(between**2 + variance)
    used = (here.count >= FEWEST_GROUPS - 1) & ~wild & np.isfinite(shift)
    enough = everybody.count >= FEWEST_GROUPS - 1
    centre = everybody.median + np.where(used, share * shift, 0.0)
    spread = np.sqrt(class_variance + between**2 * np.where(used, 1.0 - share, 1.0))
    return np.where(enough, centre, np.nan), np.where(enough, spread, np.nan)


def _spreads(values: FloatArray, station: IntArray) -> tuple[float, float]:
    """Scatter of groups within a station and of stations, both robust."""
    distinct, place = np.unique(station, return_inverse=True)
    medians = np.full(len(distinct), np.nan)
    counts = np.zeros(len(distinct))
    for index in range(len(distinct)):
        mine = values[(place == index) & np.isfinite(values)]
        counts[index] = mine.size
        if mine.size:
            medians[index] = np.median(mine)
    with np.errstate(all="ignore"):
        shrink = np.sqrt(np.maximum(1.0 - 1.0 / np.maximum(counts[place], 1), 0.25))
        within = robust_sd((values - medians[place]) / shrink)
    within = max(within if np.isfinite(within) else 0.0, GROUP_SD)
    known = medians[counts >= FEWEST_GROUPS]
    if known.size < FEWEST_GROUPS:
        return within, STATION_SD
    seen = robust_sd(np.asarray(known))
    sampling = (MEDIAN_FACTOR * within) ** 2 / np.mean(counts[counts >= FEWEST_GROUPS])
    return within, float(max(seen**2 - float(sampling), (0.15 * within) ** 2) ** 0.5)


def _lot_reference(values: FloatArray, lot: IntArray) -> tuple[FloatArray, FloatArray]:
    others = median_of_others(values, lot)
    deviation = values - median_of_others(values, lot).median
    within = robust_sd(deviation)
    within = max(within if np.isfinite(within) else 0.0, GROUP_SD)
    enough = others.count >= FEWEST_GROUPS - 1
    with np.errstate(all="ignore"):
        sd = MEDIAN_FACTOR * within / np.sqrt(others.count)
    return np.where(enough, others.median, np.nan), np.where(enough, sd, np.nan)


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
