"""Errors of all sections side by side."""

from collections.abc import Sequence
from typing import Any

from frontend.comparing.drawing import (
    BLUE,
    GREY,
    MOST_ROWS,
    ROW_PX,
    VIOLET,
    Figure,
    at,
    categories,
    finished,
)
from results.summaries.effects import SectionEffects
from results.summaries.effects.sections import ErrorSpread

_STATES = {
    "differs": ("differs: median, 95 % interval", "diamond", BLUE),
    "cannot_tell": ("cannot tell: median, 95 % interval", "square-open", VIOLET),
    "like_the_others": ("median, 95 % interval", "circle", GREY),
}
# Whiskers of a section with many slips may not squeeze all others.
_LOOKED_AT = 1.6


def spreads_figure(
    sections: Sequence[SectionEffects], *, most: int = MOST_ROWS
) -> Figure | None:
    """Return boxes of errors with the median's robust interval, percent.

    A box holds the middle half of a section's groups, whiskers reach from its
    10th to its 90th percentile.
    """
    known = [(one, one.errors) for one in sections if one.errors is not None]
    if not known:
        return None
    drawn = known[:most]
    names = {one.section: _label(one, errors) for one, errors in drawn}
    axis = "error, % of the assigned value"
    if len(known) > len(drawn):
        axis += f"<br>{len(known) - len(drawn)} more, nearer to zero, in the table"
    low, high = _looked_at([errors for _, errors in drawn])
    return finished(
        [_boxes([errors for _, errors in drawn], list(names.values()))]
        + [
            _medians(own, names, *look)
            for state, look in _STATES.items()
            if (own := [one for one, _ in drawn if _is_told(one, state)])
        ],
        {
            "xaxis": {"title": {"text": axis}, "nticks": 6, "range": [low, high]},
            "yaxis": categories(names.values()),
            "shapes": [at(0)],
        },
        height=160 + ROW_PX * max(len(drawn), 2),
    )


def _label(one: SectionEffects, errors: ErrorSpread) -> str:
    return f"{one.section} (n {errors.n})"


def _is_told(one: SectionEffects, state: str) -> bool:
    line = one.recovery
    return line is not None and line.verdict == state and line.median_low is not None


def _boxes(errors: Sequence[ErrorSpread], names: Sequence[str]) -> dict[str, Any]:
    return {
        "type": "box",
        "orientation": "h",
        "y": list(names),
        "q1": [round(one.p25, 3) for one in errors],
        "median": [round(one.p50, 3) for one in errors],
        "q3": [round(one.p75, 3) for one in errors],
        "lowerfence": [round(one.p10, 3) for one in errors],
        "upperfence": [round(one.p90, 3) for one in errors],
        "name": "middle half and 80 % of the groups",
        "line": {"color": GREY, "width": 1},
        "fillcolor": "rgba(111,127,134,0.2)",
        "hoverinfo": "x+y",
    }


def _medians(
    sections: Sequence[SectionEffects],
    names: dict[str, str],
    word: str,
    symbol: str,
    colour: str,
) -> dict[str, Any]:
    lines = [one.recovery for one in sections if one.recovery]
    return {
        "type": "scatter",
        "x": [round(line.median, 3) for line in lines],
        "y": [names[one.section] for one in sections],
        "error_x": {
            "type": "data",
            "symmetric": False,
            "array": [
                round((line.median_high or line.median) - line.median, 3)
                for line in lines
            ],
            "arrayminus": [
                round(line.median - (line.median_low or line.median), 3)
                for line in lines
            ],
            "thickness": 2.5,
            "width": 3,
        },
        "mode": "markers",
        "name": word,
        "marker": {"color": colour, "symbol": symbol, "size": 9},
        "hovertemplate": "%{y}: %{x:+.2f} %<extra></extra>",
    }


def _looked_at(errors: Sequence[ErrorSpread]) -> tuple[float, float]:
    low = min(0.0, *(one.p25 for one in errors))
    high = max(0.0, *(one.p75 for one in errors))
    middle, half = (low + high) / 2, max((high - low) / 2, 0.1)
    return round(middle - _LOOKED_AT * half, 3), round(middle + _LOOKED_AT * half, 3)
