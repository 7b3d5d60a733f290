"""Lots as a coordinator sees them: the assigned against the class's value."""

import math
from dataclasses import dataclass
from datetime import datetime
from statistics import median

from results.models import AssignedValues
from results.policy.access import Rights
from results.policy.claims import Response, reassay_sentence, wide_spread_sentence
from results.science.effects import LevelEffect, Verdict
from results.science.scores import zeta_scores
from results.summaries.effects.course import CourseEffects, effects_of
from results.summaries.effects.lines import EffectLine, shown
from results.summaries.effects.names import Names
from results.summaries.effects.stored import Stored, stored_effects

#: Vials of a lot that scatter this much more than usual may have segregated.
_WIDE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LotLine:
    """One lot; iron contents in % by mass.

    Attributes
    ----------
    assigned_percent, u_assigned_percent : float or None
        The present assigned value and its standard uncertainty.
    found_percent, u_found_percent : float or None
        The class's value, robust and freed of sections and stations, set against the
        other lots; None for fewer than five groups.
    spread_percent, usual_spread_percent : float or None
        Robust standard deviation of its groups' recoveries, and that of a usual lot.
    zeta : float or None
        Difference over both standard uncertainties (ISO 13528).
    effect : EffectLine or None
        None if none of its vials was answered.
    proposals : tuple of str
        What to do; empty if nothing.
    """

    lot_id: int
    lot: str
    n: int
    assigned_percent: float | None
    u_assigned_percent: float | None
    found_percent: float | None
    u_found_percent: float | None
    spread_percent: float | None
    usual_spread_percent: float | None
    zeta: float | None
    effect: EffectLine | None
    proposals: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LotsSummary:
    """All lots, those first that ask for something."""

    course: str
    title: str
    fitted_at: datetime | None
    lots: tuple[LotLine, ...]
    effects: CourseEffects


def lots_summary(course_code: str, *, rights: Rights, now: datetime) -> LotsSummary:
    """Return the lots of a course; seven queries, however many groups.

    Parameters
    ----------
    now : datetime
        Of the assigned values, the present ones are shown.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    stored = stored_effects(course_code, rights=rights)
    names = Names(stored.course.pk)
    return lots_of(stored, names, effects_of(stored, names), now=now)


def lots_of(
    stored: Stored, names: Names, effects: CourseEffects, *, now: datetime
) -> LotsSummary:
    """Return the lots in a stored document; one query."""
    values = AssignedValues(names.lots)
    fitted = stored.fitted(Response.RECOVERY)
    among = fitted.factors.get("lot") if fitted else None
    levels = {one.level: one for one in among.levels} if among else {}
    spreads = [one.sd for one in levels.values() if math.isfinite(one.sd)]
    usual = shown(Response.RECOVERY, median(spreads)) if spreads else None
    table = effects.table(Response.RECOVERY, "lot")
    lots = []
    for pk, lot in names.lots.items():
        assigned = values.at(pk, now)
        lots.append(
            _line(
                lot.code,
                pk,
                (assigned.iron_percent, assigned.u_iron_percent) if assigned else None,
                levels.get(pk),
                table.of(pk) if table else None,
                usual,
            )
        )
    lots.sort(key=lambda one: (-len(one.proposals), one.lot))
    return LotsSummary(
        stored.course.code, stored.course.title, stored.fitted_at, tuple(lots), effects
    )


def _line(
    code: str,
    pk: int,
    assigned: tuple[float, float] | None,
    level: LevelEffect | None,
    effect: EffectLine | None,
    usual: float | None,
) -> LotLine:
    found = u_found = zeta = spread = None
    if level and assigned and level.verdict is not Verdict.TOO_FEW:
        found = assigned[0] * math.exp(level.own)
        u_found = found * level.own_se
        zeta = float(zeta_scores(found, assigned[0], u_found, assigned[1]))
    if level and math.isfinite(level.sd):
        spread = shown(Response.RECOVERY, level.sd)
    proposals = []
    if assigned and found and u_found and level and level.verdict is Verdict.DIFFERS:
        proposals.append(reassay_sentence(code, *assigned, found, u_found))
    if spread and usual and spread > _WIDE * usual:
        proposals.append(wide_spread_sentence(code, spread, usual))
    return LotLine(
        lot_id=pk,
        lot=code,
        n=level.n if level else 0,
        assigned_percent=assigned[0] if assigned else None,
        u_assigned_percent=assigned[1] if assigned else None,
        found_percent=found,
        u_found_percent=u_found,
        spread_percent=spread,
        usual_spread_percent=usual,
        zeta=zeta,
        effect=effect,
        proposals=tuple(proposals),
    )
