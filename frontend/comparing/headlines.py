"""The sentence above each page: its question's answer."""

import re
from collections.abc import Sequence
from datetime import datetime

from frontend.numerals import counted
from results.summaries.effects import (
    EffectLine,
    LotsSummary,
    SectionsSummary,
    StationsSummary,
)
from results.summaries.effects.sections import SectionEffects
from results.summaries.frequencies import SlipFrequencies

_ASIDES = (
    re.compile(r" after allowing for [^(]*(?= \()"),
    re.compile(r", set against the other \d+"),
    re.compile(r", \d+ set aside(?=\))"),
)


def stations_headline(summary: StationsSummary) -> str:
    """Say whether a station asks for a look."""
    asking = [one.sentences[0] for one in summary.stations if one.sentences]
    return _headline(
        "station",
        asking,
        [one.slope for one in summary.stations if one.slope],
        n_levels=len(summary.stations),
        fitted_at=summary.fitted_at,
    )


def lots_headline(summary: LotsSummary) -> str:
    """Say whether a lot's assigned value or its evenness is in doubt."""
    asking = [
        # What follows from it stands with the lot.
        one.effect.sentence.partition(";")[0]
        if one.effect and is_claim(one.effect)
        else one.proposals[0]
        for one in summary.lots
        if one.proposals or (one.effect and is_claim(one.effect))
    ]
    return _headline(
        "lot",
        asking,
        [one.effect for one in summary.lots if one.effect],
        n_levels=len(summary.lots),
        fitted_at=summary.fitted_at,
    )


def sections_headline(summary: SectionsSummary) -> str:
    """Say whether a section stands out."""
    asking = [
        claims[0].sentence
        for one in summary.sections
        if (claims := claims_of_section(one))
    ]
    return _headline(
        "section",
        asking,
        [one.recovery for one in summary.sections if one.recovery],
        n_levels=len(summary.sections),
        fitted_at=summary.fitted_at,
    )


def slips_headline(summary: SlipFrequencies) -> str:
    """Say whether a handout may have taught a slip, or what is most frequent."""
    if len(summary.shared) == 1:
        (one,) = summary.shared
        return (
            f"Section {one.section} shares a slip on paper: look at its handout "
            f"({one.n_groups} of {one.n_worked} worked answers)"
        )
    if summary.shared:
        n = len({one.section_id for one in summary.shared})
        whose = "one section shares" if n == 1 else f"{counted(n)} sections share"
        return f"{whose.capitalize()} slips on paper: look at the handout"
    found = sorted(
        (*summary.at_the_bench, *summary.on_paper), key=lambda one: -one.n_groups
    )
    if found:
        most = found[0]
        return (
            f"Most frequent: {most.title[:1].lower()}{most.title[1:]}, "
            f"{most.n_groups} of {summary.n_groups} groups; no handout is suspected"
        )
    if summary.n_groups:
        return f"No slip has been found among {summary.n_groups} groups"
    return "Nothing received yet"


def in_short(sentence: str) -> str:
    """Return a claim without what it was set against, which stands below it.

    Examples
    --------
    >>> in_short("Station 17 reads 3.1 ± 0.7 % above the other 39 after allowing "
    ...     "for sections (9 groups); answers are not affected.")
    'Station 17 reads 3.1 ± 0.7 % above the other 39 (9 groups); answers are not \
affected'
    >>> in_short("Lot L07 is found 15.5 ± 1.5 % above its assigned value, set against "
    ...     "the other 7 after allowing for sections (8 groups, 1 set aside); mind it.")
    'Lot L07 is found 15.5 ± 1.5 % above its assigned value (8 groups); mind it'
    """
    for aside in _ASIDES:
        sentence = aside.sub("", sentence)
    return sentence.removesuffix(".")


def is_claim(line: EffectLine | None) -> bool:
    """Whether something is said of a level, be it that it cannot be told."""
    return line is not None and line.verdict in {"differs", "cannot_tell"}


def claims_of_section(one: SectionEffects) -> list[EffectLine]:
    """Return what is claimed of a section, iron contents first."""
    return [
        line
        for line in (one.recovery, one.slope, one.curvature)
        if line and is_claim(line)
    ]


def _headline(
    factor: str,
    asking: Sequence[str],
    lines: Sequence[EffectLine],
    *,
    n_levels: int,
    fitted_at: datetime | None,
) -> str:
    if fitted_at is None or not lines:
        return f"{factor.capitalize()}s have not been compared yet"
    if len(asking) == 1:
        return in_short(asking[0])
    if asking:
        n = counted(len(asking)).capitalize()
        return f"{n} of {counted(n_levels)} {factor}s ask for a look"
    told = [one for one in lines if one.verdict != "too_few"]
    if not told:
        return f"Cannot tell yet: no {factor} has five groups to compare"
    n_groups = sum(one.n for one in told)
    return (
        f"No {factor} stands out beyond chance: {counted(len(told))} compared, "
        f"n = {n_groups} groups"
    )
