"""The map of sections and stations."""

import math
from collections.abc import Mapping, Sequence, Set
from statistics import median

from frontend.comparing.drawing import Figure, categories, finished
from results.summaries.effects.sections import MapCell

# Blue for low, ochre for high: told apart by every eye, and never iron's orange.
_SCALE = [
    [0, "#1f6f9e"],
    [0.5, "rgba(140,150,155,0.18)"],
    [1, "#8a7a2f"],
]
_WORDS = {
    "error": "median error, %",
    "slope": "median slope against the class, %",
}
# Cells this many usual deviations off carry a sign, so that colour is not alone.
_FAR = 3.0
_MAD_TO_SD = 1.4826
_CELL_PX = 22
# A map of more rows or columns than these cannot be read.
_MOST_LEVELS = 60


def map_figure(cells: Sequence[MapCell], shows: str) -> Figure | None:
    """Return sections by stations, coloured by error or slope; None without any.

    Parameters
    ----------
    shows : str
        "error" or "slope".
    """
    values = {
        (cell.section, cell.station): (value, cell.n)
        for cell in cells
        if (value := cell.slope if shows == "slope" else cell.error) is not None
    }
    if not values:
        return None
    sections, stations = _furthest_off(
        {key: value for key, (value, _) in values.items()}
    )
    far = _FAR * _usual([value for value, _ in values.values()])
    grid = [[values.get((row, column)) for column in stations] for row in sections]
    return finished(
        [
            {
                "type": "heatmap",
                "x": stations,
                "y": sections,
                "z": [[cell and round(cell[0], 2) for cell in row] for row in grid],
                # What is missing would be written as a word.
                "text": [
                    [_sign(cell[0], far) if cell else "" for cell in row]
                    for row in grid
                ],
                "customdata": [[cell and cell[1] for cell in row] for row in grid],
                "texttemplate": "%{text}",
                "zmid": 0,
                "zmin": -far,
                "zmax": far,
                "colorscale": _SCALE,
                "xgap": 1,
                "ygap": 1,
                "colorbar": {
                    "orientation": "h",
                    "y": 1,
                    "yanchor": "bottom",
                    "thickness": 10,
                    "nticks": 5,
                    "title": {"text": _WORDS[shows], "side": "top"},
                },
                "hovertemplate": "section %{y}, station %{x}: %{z:+.1f} %, "
                "n = %{customdata}<extra></extra>",
            }
        ],
        {
            "xaxis": {
                "type": "category",
                "title": {"text": _axis(values, sections), "standoff": 28},
                "showgrid": False,
            },
            "yaxis": categories(sections, title={"text": "section"}, showgrid=False),
            "margin": {"l": 64, "r": 16, "t": 96, "b": 64},
        },
        height=200 + _CELL_PX * max(len(sections), 3),
        legend=False,
    )


def _furthest_off(
    values: Mapping[tuple[str, str], float],
) -> tuple[list[str], list[str]]:
    """Return the sections and stations to be drawn, those furthest off of many."""
    sections = _most({name for name, _ in values}, 0, values)
    kept = {key: value for key, value in values.items() if key[0] in sections}
    return sorted(sections), sorted(_most({name for _, name in kept}, 1, kept))


def _most(
    names: Set[str], place: int, values: Mapping[tuple[str, str], float]
) -> Set[str]:
    if len(names) <= _MOST_LEVELS:
        return names
    own: dict[str, list[float]] = {}
    for key, value in values.items():
        own.setdefault(key[place], []).append(value)
    ranked = sorted(own, key=lambda name: (-abs(median(own[name])), name))
    return set(ranked[:_MOST_LEVELS])


def _axis(values: Mapping[tuple[str, str], object], sections: Sequence[str]) -> str:
    n = len({section for section, _ in values})
    if n <= len(sections):
        return "station"
    return f"station<br>{len(sections)} of {n} sections, those furthest off"


def _usual(values: Sequence[float]) -> float:
    """Return a robust deviation from zero; never nothing, for the scale's sake."""
    return max(_MAD_TO_SD * median(abs(value) for value in values), 0.1)


def _sign(value: float, far: float) -> str:
    if not math.isfinite(value) or abs(value) < far:
        return ""
    return "▲" if value > 0 else "▼"
