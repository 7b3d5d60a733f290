"""Levels against the others as intervals around one, and a level's own history."""

from collections.abc import Collection, Sequence
from typing import Any

from frontend.comparing.drawing import (
    BLUE,
    GREY,
    MOST_ROWS,
    OCHRE,
    ROW_PX,
    VIOLET,
    Figure,
    at,
    categories,
    finished,
)
from results.summaries.effects import EffectLine
from results.summaries.effects.stations import StationHistory

# Word, shape and colour of what can be said, in the order of the legend.
_STATES = {
    "differs": ("differs", "diamond", BLUE),
    "cannot_tell": ("cannot tell", "square-open", VIOLET),
    "like_the_others": ("like the others", "circle", GREY),
    "too_few": ("too few groups to claim", "circle-open", GREY),
    "out": ("out of service", "x", OCHRE),
}


def forest_figure(
    lines: Sequence[EffectLine],
    *,
    axis: str,
    out: Collection[str] = (),
    most: int = MOST_ROWS,
    row_px: int = ROW_PX,
) -> Figure:
    """Return effects with their 95 % intervals as ratios to the other levels.

    Parameters
    ----------
    lines : sequence of EffectLine
        In percent; the first `most` are drawn.
    out : collection of str
        Levels that are out of service.
    """
    drawn = lines[:most]
    data = []
    for state, (word, symbol, colour) in _STATES.items():
        own = [one for one in drawn if _state(one, out) == state]
        if own:
            data.append(_intervals(own, word, symbol, colour))
    if len(lines) > most:
        axis += f"<br>{len(lines) - most} more, nearer to one, in the table"
    return finished(
        data,
        {
            "xaxis": {"title": {"text": axis}, "nticks": 6},
            "yaxis": categories(one.level for one in drawn),
            "shapes": [at(1)],
        },
        height=136 + row_px * max(len(drawn), 2),
    )


def history_figure(history: StationHistory) -> Figure:
    """Return a station's weeks with their intervals, average and limits, percent."""
    points = history.points
    weeks = [str(point.week % 100) for point in points]
    data: list[dict[str, Any]] = [
        {
            "type": "scatter",
            "x": weeks,
            "y": [round(point.value, 3) for point in points],
            "error_y": {
                "type": "data",
                "symmetric": False,
                "array": [round(point.high - point.value, 3) for point in points],
                "arrayminus": [round(point.value - point.low, 3) for point in points],
                "thickness": 1.5,
            },
            "customdata": [point.n for point in points],
            "mode": "markers",
            "name": "median of the week",
            "marker": {"color": GREY, "symbol": "circle", "size": 8},
            "hovertemplate": "week %{x}: %{y:+.1f} %, %{customdata} groups"
            "<extra></extra>",
        },
        _line(weeks, [point.smoothed for point in points], "moving average", BLUE),
        _line(weeks, [p.limit_low for p in points], "limits", OCHRE, dash="dash"),
        _line(weeks, [p.limit_high for p in points], "limits", OCHRE, dash="dash"),
    ]
    data[-1]["showlegend"] = False
    return finished(
        data,
        {
            "xaxis": {"type": "category", "title": {"text": "week"}},
            "yaxis": {
                "title": {"text": "slope against the others, %"},
                "automargin": True,
            },
            "shapes": [at(round(history.centre, 3), vertical=False)],
        },
        height=300,
    )


def _state(line: EffectLine, out: Collection[str]) -> str:
    return "out" if line.level in out else line.verdict


def _intervals(
    lines: Sequence[EffectLine], word: str, symbol: str, colour: str
) -> dict[str, Any]:
    return {
        "type": "scatter",
        "x": [_ratio(one.effect) for one in lines],
        "y": [one.level for one in lines],
        "error_x": {
            "type": "data",
            "symmetric": False,
            "array": [round((one.high - one.effect) / 100, 5) for one in lines],
            "arrayminus": [round((one.effect - one.low) / 100, 5) for one in lines],
            "thickness": 2,
            "width": 3,
        },
        "customdata": [one.n for one in lines],
        "mode": "markers",
        "name": word,
        "marker": {"color": colour, "symbol": symbol, "size": 10},
        "hovertemplate": "%{y}: %{x:.3f}, %{customdata} groups<extra></extra>",
    }


def _ratio(percent: float) -> float:
    return round(1 + percent / 100, 5)


def _line(
    x: Sequence[str],
    y: Sequence[float | None],
    name: str,
    colour: str,
    dash: str = "solid",
) -> dict[str, Any]:
    return {
        "type": "scatter",
        "x": list(x),
        "y": [None if value is None else round(value, 3) for value in y],
        "mode": "lines",
        "name": name,
        "line": {"color": colour, "width": 2, "dash": dash},
        "hoverinfo": "skip",
    }
