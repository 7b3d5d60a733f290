"""What all figures of comparisons share."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

Figure = dict[str, Any]
# Middle tones that stand 3 : 1 against both papers; no orange, which means iron.
BLUE, VIOLET, GREEN, ROSE, GREY, OCHRE = COLOURS = (
    "#2f7fae",
    "#7d6fb5",
    "#4a8a57",
    "#a2647f",
    "#6f7f86",
    "#8a7a2f",
)
SYMBOLS = ("circle", "square", "diamond", "triangle-up", "cross", "star")
#: A row of a figure in pixels: readable on a phone, and thirty fit on a page.
ROW_PX = 26
# What a figure can hold before its rows are too many to be read.
MOST_ROWS = 40


def finished(
    data: Sequence[Mapping[str, Any]],
    layout: Mapping[str, Any],
    *,
    height: int,
    legend: bool = True,
) -> Figure:
    """Return a figure ready to be drawn in the colours of its page."""
    across = {
        "automargin": True,
        **layout.get("xaxis", {}),
    }
    across["title"] = {"standoff": 12, **across.get("title", {})}
    return {
        "data": [dict(trace) for trace in data],
        "layout": {
            "height": height,
            "margin": {"l": 64, "r": 16, "t": 56 if legend else 12, "b": 56},
            "showlegend": legend,
            "legend": {"orientation": "h", "x": 0, "y": 1.0, "yanchor": "bottom"},
            "paper_bgcolor": "rgba(0,0,0,0)",
            "plot_bgcolor": "rgba(0,0,0,0)",
            "hovermode": "closest",
            **layout,
            "xaxis": across,
        },
    }


def categories(names: Iterable[str], **more: Any) -> dict[str, Any]:
    """Return an axis of names in their order, the first on top."""
    return {
        "type": "category",
        "categoryorder": "array",
        "categoryarray": list(names),
        "autorange": "reversed",
        "automargin": True,
        "ticks": "",
        # Every row has its name, however narrow it is.
        "dtick": 1,
        **more,
    }


def at(value: float, *, vertical: bool = True) -> dict[str, Any]:
    """Return a dotted line through a figure."""
    along, across = ("y", "x") if vertical else ("x", "y")
    return {
        "type": "line",
        f"{along}ref": "paper",
        f"{along}0": 0,
        f"{along}1": 1,
        f"{across}0": value,
        f"{across}1": value,
        "line": {"width": 1, "dash": "dot", "color": GREY},
    }
