"""Where an answer's uncertainty comes from, as bars and as a sentence."""

from collections.abc import Sequence
from dataclasses import dataclass

from frontend.numerals import decimals_for, fixed
from results.explaining import Source

WIDTH = 360
_ROW = 40
_LABEL_ROOM = 118
# A source with half of the squared uncertainty decides the answer's quality.
_MOSTLY = 0.5
_LEAST = 0.005
_NOUNS = {
    "calibration": "the line",
    "reading": "the unknown’s readings",
    "masses": "the weighings",
    "flasks": "the flasks",
    "pipettes": "the pipettes",
    "burette": "the burette",
    "purity": "the salt’s purity",
}


@dataclass(frozen=True, slots=True)
class Bar:
    """One source: its bar, and what is written above and beside it."""

    title: str
    label: str
    title_y: int
    y: int
    width: float
    label_x: float


@dataclass(frozen=True, slots=True)
class BudgetPicture:
    """Bars of relative standard uncertainties, largest first."""

    width: int
    height: int
    bars: tuple[Bar, ...]
    description: str


def budget_picture(sources: Sequence[Source]) -> BudgetPicture:
    """Lay out the bars of those sources that bring anything."""
    shown = [source for source in sources if source.relative_percent > 0]
    longest = max((source.relative_percent for source in shown), default=1.0)
    return BudgetPicture(
        width=WIDTH,
        height=_ROW * len(shown) + 4,
        bars=tuple(_bar(place, source, longest) for place, source in enumerate(shown)),
        description="; ".join(f"{one.title} {label(one)}" for one in shown) + ".",
    )


def label(source: Source) -> str:
    """Return a source's relative standard uncertainty and its share, in print."""
    decimals = decimals_for(source.relative_percent)
    share = f"{100 * source.share:.0f}" if source.share >= _LEAST else "under 1"
    return f"{fixed(source.relative_percent, decimals)} %, share {share} %"


def limited_by(sources: Sequence[Source]) -> str:
    """Return what limits an answer, as the end of a sentence."""
    nouns = [_NOUNS.get(source.code, source.title) for source in sources]
    if sources[0].share >= _MOSTLY:
        return f"mostly limited by {nouns[0]}"
    return f"limited by {nouns[0]} and {nouns[1]}"


def _bar(place: int, source: Source, longest: float) -> Bar:
    top = _ROW * place
    width = (WIDTH - _LABEL_ROOM) * source.relative_percent / longest
    return Bar(
        title=source.title,
        label=label(source),
        title_y=top + 13,
        y=top + 19,
        width=round(max(width, 1.0), 1),
        label_x=round(max(width, 1.0) + 6, 1),
    )
