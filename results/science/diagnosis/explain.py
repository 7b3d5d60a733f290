"""Ranks the explanations of a batch of readings, with their probabilities."""

from dataclasses import dataclass, replace

import numpy as np

from results.science.answer import Readings
from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.diagnosis.assumptions import FLAG_BELOW, PAIR_DEFICIT
from results.science.diagnosis.context import Context, join_contexts, no_context
from results.science.diagnosis.double import pairs
from results.science.diagnosis.habits import ENTRIES
from results.science.diagnosis.hypotheses import Hypothesis, set_up
from results.science.diagnosis.posterior import Weighed, join_weighed, weigh
from results.science.diagnosis.record import Record, join, lay_out
from results.science.diagnosis.references import Reviewed, every_reference
from results.science.diagnosis.repairs import Version, versions
from results.science.dilution import Scheme
from results.science.scales import other_scale

#: Groups looked at in one go: their hypotheses fit a processor's cache.
CHUNK = 4096
#: Groups whose doubtful ones are gathered: the few with another version or a second
#: slip would fill no chunk of their own.
BLOCK = 4 * CHUNK


@dataclass(frozen=True, slots=True)
class Explanations:
    """Probability that each slip is present, for K of the groups.

    Several slips may be present at once, so a column may sum to more than one.

    Attributes
    ----------
    hypotheses : tuple of H Hypothesis
        The first is that nothing went wrong.
    rows : array of int (K,)
        Which groups of the batch the columns are about.
    probability : array (H, K)
    record : Record
        Of the K groups, as typed.
    """

    hypotheses: tuple[Hypothesis, ...]
    rows: IntArray
    probability: FloatArray
    record: Record


def explain(
    scheme: Scheme,
    readings: Readings,
    context: Context | None = None,
    *,
    everyone: bool = False,
) -> list[Explanations]:
    """Weigh all explanations for a batch of readings.

    Parameters
    ----------
    scheme : Scheme
    readings : Readings
        Of N groups.
    context : Context, optional
        What their classes say of them.
    everyone : bool
        Also list the groups in which probably nothing went wrong.

    Returns
    -------
    list of Explanations
        In pieces of a few thousand groups, in the order of the rows; a row's result
        depends on its own readings and context only.
    """
    groups = len(readings.standard_mass_g)
    known = no_context(groups) if context is None else context
    record = lay_out(scheme, readings)
    mixed = other_scale(readings).T
    found = []
    with np.errstate(all="ignore"):
        for start in range(0, groups, BLOCK):
            rows = np.arange(start, min(start + BLOCK, groups))
            found.append(_piece(scheme, record, mixed, known, (rows, everyone)))
    return found


def _piece(
    scheme: Scheme,
    record: Record,
    mixed: BoolArray,
    context: Context,
    rows_and_everyone: tuple[IntArray, bool],
) -> Explanations:
    rows, everyone = rows_and_everyone
    part, here = record.rows(rows), context.rows(rows)
    listed = versions(scheme, part, mixed[:, rows], here.slipped)
    wanted = np.asarray((here.other_weight > 0.0).any(axis=1) | everyone)
    for version in listed:
        wanted[version.origin] = True
    typed, kept = _weigh_typed(scheme, part, here, wanted)
    part, here = part.rows(kept), here.rows(kept)
    place = np.cumsum(np.bincount(kept, minlength=len(rows))) - 1
    moved = [replace(one, origin=place[one.origin]) for one in listed]
    typed, others = _weigh_versions(scheme, typed, *every_reference(here, part, moved))
    hypotheses, probability = _merge(typed, others)
    # A group without any reading has nothing to go by.
    empty = part.present.sum(axis=0) == 0
    shown = np.flatnonzero(everyone | ((probability[0] < FLAG_BELOW) & ~empty))
    part = part.rows(shown)
    probability = _with_pairs(
        (scheme, part, here.rows(shown)), typed.rows(shown), probability[:, shown]
    )
    return Explanations(hypotheses, rows[kept[shown]], probability, part)


def _weigh_typed(
    scheme: Scheme, record: Record, context: Context, wanted: BoolArray
) -> tuple[Weighed, IntArray]:
    """Weigh the records as typed; keep the wanted groups and the doubtful ones."""
    found, kept = [], []
    for start in range(0, len(record), CHUNK):
        chunk = slice(start, start + CHUNK)
        weighed = weigh(set_up(scheme, record.rows(chunk), context.rows(chunk)))
        rows = np.flatnonzero(wanted[chunk] | (weighed.weight[0] < FLAG_BELOW))
        found.append(weighed.rows(rows))
        kept.append(start + rows)
    return join_weighed(found), np.concatenate(kept)


def _with_pairs(
    case: tuple[Scheme, Record, Context], typed: Weighed, probability: FloatArray
) -> FloatArray:
    """Let two slips at once compete where something went wrong with a record.

    Pairs are tried on the record as typed, where a single slip explains it badly.
    """
    scheme, record, context = case
    badly = typed.deficit > PAIR_DEFICIT + 0.5 * record.present.sum(axis=0)
    as_typed = probability[: len(typed.weight)].sum(axis=0) > 0.5
    rows = np.flatnonzero((probability[0] < FLAG_BELOW) & badly & as_typed)
    if not len(rows) or record.absorbance.shape[0] == record.n:
        return probability
    found = pairs(scheme, record.rows(rows), context.rows(rows), typed.rows(rows))
    together = found.weight.sum(axis=0)
    changed = probability.copy()
    count = len(typed.weight)
    scale = 1.0 / (1.0 + together)
    changed[:, rows] *= scale
    changed[:count, rows] += found.weight * scale
    changed[found.first, rows] += together * scale
    return changed


def _weigh_versions(
    scheme: Scheme, typed: Weighed, log_weight: FloatArray, listed: list[Reviewed]
) -> tuple[Weighed, list[tuple[Version, Weighed]]]:
    """Weigh all versions in one go, and hand them out again.

    ``log_weight`` (N,) is that of the reference that the typed records had.
    """
    typed = replace(typed, log_density=typed.log_density + log_weight)
    if not listed:
        return typed, []
    record = join([version.record for version, _ in listed])
    context = join_contexts([context for _, context in listed])
    weighed = weigh(set_up(scheme, record, context))
    start, found = 0, []
    for version, _ in listed:
        part = slice(start, start + len(version.origin))
        start = part.stop
        found.append((version, weighed.rows(part)))
    return typed, found


def _merge(
    typed: Weighed, others: list[tuple[Version, Weighed]]
) -> tuple[tuple[Hypothesis, ...], FloatArray]:
    """Weigh the versions of each record against one another."""
    repairs = [
        Hypothesis(shape, (tube,) if tube >= 0 else ())
        for shape, tube in _repairs(others)
    ]
    place = {(h.shape, h.tubes): i for i, h in enumerate(repairs, len(typed.weight))}
    groups = typed.weight.shape[1]
    top = typed.log_density.copy()
    for version, weighed in others:
        np.maximum.at(top, version.origin, weighed.log_density + version.log_weight)
    probability = np.zeros((len(typed.weight) + len(repairs), groups))
    share = np.exp(typed.log_density - top)
    total = share.copy()
    probability[: len(typed.weight)] = typed.weight * share
    for version, weighed in others:
        origin = version.origin
        log_share = weighed.log_density + version.log_weight - top[origin]
        share = np.exp(log_share)
        np.add.at(total, origin, share)
        repaired = weighed.weight * share
        if version.shape:
            # The repair is a slip already: "nothing else" is not "nothing".
            repaired[0] = 0.0
            for column, tube in enumerate(version.tube.tolist()):
                key = (version.shape, (tube,) if tube >= 0 else ())
                probability[place[key], origin[column]] += share[column]
        probability[: len(typed.weight), origin] += repaired
    return (*typed.hypotheses, *repairs), probability / total


def _repairs(others: list[tuple[Version, Weighed]]) -> list[tuple[str, int]]:
    return sorted(
        {
            (version.shape, tube)
            for version, _ in others
            if version.shape
            for tube in version.tube.tolist()
        }
    )


def care_of(
    scheme: Scheme, readings: Readings, context: Context | None = None
) -> FloatArray:
    """Return what each group alone says of its care and slips, shape (N, 2K + 1).

    How dense its readings are at each level of care without a slip, at each with one,
    and with one that nothing explains, as shares of their sum.  To be stored with the
    group; a class's context is made of them.
    """
    groups = len(readings.standard_mass_g)
    known = no_context(groups) if context is None else context
    record = lay_out(scheme, readings)
    pieces = []
    with np.errstate(all="ignore"):
        for start in range(0, groups, CHUNK):
            rows = np.arange(start, min(start + CHUNK, groups))
            case = set_up(scheme, record.rows(rows), known.rows(rows))
            pieces.append(weigh(case).care.T)
    return np.concatenate(pieces) if pieces else np.empty((0, ENTRIES))
