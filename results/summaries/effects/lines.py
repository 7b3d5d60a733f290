"""One level against the others, with size, interval, n and a sentence."""

import math
from dataclasses import dataclass
from statistics import median

from results.policy.claims import (
    Claim,
    Response,
    cannot_tell_sentence,
    claim_sentence,
    explanations,
    no_difference_sentence,
    rests_on_sentence,
    too_few_sentence,
)
from results.science.effects import (
    CrossedEffects,
    FactorEffects,
    LevelEffect,
    Verdict,
)
from results.summaries.effects.names import Names

# What stands first in a list: what asks for something to be done.
_ORDER = (
    Verdict.DIFFERS,
    Verdict.CANNOT_TELL,
    Verdict.LIKE_THE_OTHERS,
    Verdict.TOO_FEW,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectLine:
    """One level against the others; in percent, a bend in standard deviations.

    Attributes
    ----------
    level_id : int or str
        Of the station, lot or section; of assistants their ids joined by commas.
    effect, low, high : float
        Drawn towards the others unless it differs, with 95 % interval.
    median, median_low, median_high : float or None
        Plain median of its groups with 95 % interval, of slopes against the middle
        level; the interval is None where there is no claim.
    z : float
        Distance in standard deviations of usual spread and error together.
    verdict : str
        "differs", "like_the_others", "too_few" or "cannot_tell".
    is_firm : bool
        Whether the difference stays without any one group, section, ...
    sentence : str
    could_be, rests_on : tuple of str
        What else could explain a difference; what it rests on most.
    """

    level_id: int | str
    level: str
    n: int
    n_set_aside: int
    effect: float
    low: float
    high: float
    median: float
    median_low: float | None
    median_high: float | None
    z: float
    verdict: str
    is_firm: bool
    sentence: str
    could_be: tuple[str, ...]
    rests_on: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EffectTable:
    """All levels of a factor for one response, what differs most first.

    Attributes
    ----------
    spread : float
        Usual standard deviation between levels, in the unit of the lines.
    """

    response: str
    factor: str
    spread: float
    is_declared: bool
    lines: tuple[EffectLine, ...]

    def of(self, level_id: int | str) -> EffectLine | None:
        """Return the line of one level, if it has any group."""
        return next((one for one in self.lines if one.level_id == level_id), None)


def effect_table(
    response: Response, effects: CrossedEffects, among: FactorEffects, names: Names
) -> EffectTable:
    """Put all levels of a factor into lines; no query."""
    others = tuple(name for name in effects.factors if name != among.name)
    # A slope has no value that it ought to be: only others to be set against.
    centre = (
        median(one.median for one in among.levels)
        if response is Response.SLOPE and among.levels
        else 0.0
    )
    lines = [
        _line(response, among, one, others, names, centre)
        for one in sorted(
            among.levels,
            key=lambda one: (_ORDER.index(one.verdict), -abs(one.z)),
        )
    ]
    return EffectTable(
        response=response.value,
        factor=among.name,
        spread=shown(response, among.spread),
        is_declared=among.is_declared,
        lines=tuple(lines),
    )


def _line(
    response: Response,
    among: FactorEffects,
    one: LevelEffect,
    others: tuple[str, ...],
    names: Names,
    centre: float,
) -> EffectLine:
    effect, low, high = (shown(response, v) for v in (one.effect, one.low, one.high))
    level = names.of(among.name, one.level)
    claim = Claim(
        response=response,
        factor=among.name,
        level=level,
        effect=effect,
        half_width=(high - low) / 2,
        n=one.n,
        n_set_aside=one.n_set_aside,
        n_others=len(among.levels) - 1,
        spread=shown(response, among.spread),
        allowing_for=others,
    )
    partner = names.of(one.partner_factor, one.partner_level)
    differs = one.verdict is Verdict.DIFFERS
    return EffectLine(
        level_id=one.level,
        level=level,
        n=one.n,
        n_set_aside=one.n_set_aside,
        effect=effect,
        low=low,
        high=high,
        median=shown(response, one.median - centre),
        median_low=_known(response, one.median_low - centre),
        median_high=_known(response, one.median_high - centre),
        z=one.z,
        verdict=one.verdict.value,
        is_firm=one.is_firm,
        sentence=_sentence(one, claim, partner),
        could_be=explanations(
            response, among.name, f"{one.partner_factor} {partner}", one.overlap
        )
        if differs
        else (),
        rests_on=tuple(
            rests_on_sentence(
                left.factor,
                names.of(left.factor, left.level),
                shown(response, left.effect),
                " sd" if response is Response.CURVATURE else " %",
            )
            for left in one.left_out
        ),
    )


def _sentence(one: LevelEffect, claim: Claim, partner: str) -> str:
    match one.verdict:
        case Verdict.DIFFERS:
            return claim_sentence(claim)
        case Verdict.TOO_FEW:
            return too_few_sentence(claim)
        case Verdict.CANNOT_TELL:
            return cannot_tell_sentence(claim, one.partner_factor, partner)
        case Verdict.LIKE_THE_OTHERS:
            return no_difference_sentence(claim)


def shown(response: Response, value: float) -> float:
    """Logarithms in percent, bends as they are."""
    return value if response is Response.CURVATURE else 100.0 * math.expm1(value)


def _known(response: Response, value: float) -> float | None:
    return None if math.isnan(value) else shown(response, value)
