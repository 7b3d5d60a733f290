"""The page of slopes, laid out: one cloud, some levels in colour, groups linked."""

from collections.abc import Sequence, Set
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from frontend.comparing.drawing import (
    COLOURS,
    GREY,
    SYMBOLS,
    Figure,
    finished,
)
from frontend.comparing.headlines import in_short, is_claim
from frontend.numerals import counted
from results.summaries.course import SlopePoint
from results.summaries.effects import CourseEffects, EffectLine, SlopeCloud
from results.summaries.ellipse import Ellipse

# More levels than these cannot be told apart by colour and shape.
_MOST_LEVELS = 12
#: Rows of the table; further groups stand on the pages of their sections.
MOST_ROWS = 100
_FACTORS = ("section", "station")


@dataclass(frozen=True, slots=True)
class Choice:
    """Something that can be shown in colour."""

    value: str
    text: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class SlopesPage:
    """Everything on the page.

    Attributes
    ----------
    choices : dict of str to tuple of Choice
        By factor.
    caption : str
        Which groups the table holds.
    """

    headline: str
    claims: tuple[EffectLine, ...]
    choices: dict[str, tuple[Choice, ...]]
    figure: Figure | None
    caption: str
    rows: tuple[SlopePoint, ...]


def slopes_page(
    cloud: SlopeCloud, effects: CourseEffects, *, shows: str = ""
) -> SlopesPage:
    """Lay the cloud out.

    Parameters
    ----------
    shows : str
        "section:A1", "station:" for every station, or nothing: then whatever
        differs is shown in colour.
    """
    levels = {
        factor: sorted({_level(point, factor) for point in cloud.points})
        for factor in _FACTORS
    }
    claims = tuple(
        line
        for table in effects.tables
        if table.response == "slope" and table.factor in _FACTORS
        for line in table.lines
        if is_claim(line)
    )
    coloured = _coloured(levels, effects, shows)
    outside = _outside(cloud)
    is_one = len(coloured) == 1 and bool(shows.partition(":")[2])
    rows = coloured_points(cloud, coloured[0]) if is_one else outside
    return SlopesPage(
        headline=_headline(cloud, claims, len(outside)),
        claims=claims,
        choices={
            factor: tuple(
                Choice(f"{factor}:{name}", name, shows == f"{factor}:{name}")
                for name in names
            )
            for factor, names in levels.items()
        },
        figure=_figure(cloud, coloured) if cloud.points else None,
        caption=_caption(coloured[0] if is_one else None, len(rows)),
        rows=tuple(rows[:MOST_ROWS]),
    )


def coloured_points(cloud: SlopeCloud, level: tuple[str, str]) -> list[SlopePoint]:
    """Return the groups of one level."""
    return [point for point in cloud.points if _level(point, level[0]) == level[1]]


def _level(point: SlopePoint, factor: str) -> str:
    return point.station if factor == "station" else point.section


def _coloured(
    levels: dict[str, list[str]], effects: CourseEffects, shows: str
) -> list[tuple[str, str]]:
    """Which levels stand out in colour, as pairs of factor and name."""
    factor, _, name = shows.partition(":")
    if factor in levels and name in levels[factor]:
        return [(factor, name)]
    if factor in levels and not name:
        return [(factor, one) for one in levels[factor][:_MOST_LEVELS]]
    claimed = [
        (table.factor, line.level)
        for table in effects.tables
        if table.response == "slope" and table.factor in levels
        for line in table.lines
        if is_claim(line)
    ]
    if claimed:
        return claimed[:_MOST_LEVELS]
    few = len(levels["section"]) <= len(COLOURS)
    return [("section", one) for one in levels["section"]] if few else []


def _outside(cloud: SlopeCloud) -> list[SlopePoint]:
    """Return the groups outside the class's region, furthest first."""
    ellipse = cloud.ellipse
    if ellipse is None:
        return list(cloud.points)
    reach = [(ellipse.reach(one.slope, one.intercept), one) for one in cloud.points]
    reach.sort(key=lambda pair: -pair[0])
    return [point for distance, point in reach if distance > 1]


def _headline(cloud: SlopeCloud, claims: Sequence[EffectLine], n_outside: int) -> str:
    if not cloud.points:
        return "No line has been computed yet"
    if len(claims) == 1:
        return in_short(claims[0].sentence)
    if claims:
        return (
            f"{counted(len(claims)).capitalize()} levels have slopes unlike the others’"
        )
    if cloud.ellipse is None:
        return f"Cannot tell yet: {len(cloud.points)} lines are too few for a region"
    verb = "lies" if n_outside == 1 else "lie"
    return (
        f"{counted(n_outside).capitalize()} of {counted(len(cloud.points))} lines "
        f"{verb} outside the region of the class, where about 5 % are expected"
    )


def _caption(chosen: tuple[str, str] | None, n_rows: int) -> str:
    who = (
        f"Groups of {' '.join(chosen)}"
        if chosen
        else "Groups outside the region of the class, furthest out first"
    )
    more = f"; the first {MOST_ROWS} of {n_rows}" if n_rows > MOST_ROWS else ""
    return f"{who}{more}."


def _figure(cloud: SlopeCloud, coloured: Sequence[tuple[str, str]]) -> Figure:
    taken: set[int] = set()
    traces = []
    for index, level in enumerate(coloured):
        points = [p for p in coloured_points(cloud, level) if p.group_id not in taken]
        taken |= {point.group_id for point in points}
        marker = {
            "color": COLOURS[index % len(COLOURS)],
            "symbol": SYMBOLS[(index + index // len(COLOURS)) % len(SYMBOLS)],
            "size": 9,
        }
        traces.append(_points(points, " ".join(level), marker))
    others = [point for point in cloud.points if point.group_id not in taken]
    if others:
        name = "other groups" if traces else "groups"
        marker = {"color": GREY, "symbol": "circle", "size": 5, "opacity": 0.6}
        traces.insert(0, _points(others, name, marker))
    layout: dict[str, Any] = {
        "xaxis": {
            "title": {"text": "intercept, absorbance"},
            "nticks": 6,
            "exponentformat": "none",
        },
        "yaxis": {"title": {"text": "slope, L/mg"}, "automargin": True, "nticks": 6},
    }
    if cloud.ellipse is not None:
        _look_at_the_bulk(cloud, taken, layout)
        traces.append(_ring(cloud.ellipse))
    return finished(traces, layout, height=480)


def _points(
    points: Sequence[SlopePoint], name: str, marker: dict[str, Any]
) -> dict[str, Any]:
    # One address is reversed; the others differ from it in their number only.
    before, after = reverse("group", args=[0]).rsplit("0", 1)
    return {
        "type": "scatter",
        "x": [round(point.intercept, 5) for point in points],
        "y": [round(point.slope, 6) for point in points],
        "text": [f"{p.section}, group {p.group}, station {p.station}" for p in points],
        "meta": {"links": [f"{before}{point.group_id}{after}" for point in points]},
        "mode": "markers",
        "name": name,
        "marker": marker,
        "hovertemplate": "%{text}<br>slope %{y:.4f} L/mg<br>intercept %{x:.4f}"
        "<extra></extra>",
    }


def _ring(ellipse: Ellipse) -> dict[str, Any]:
    return {
        "type": "scatter",
        "x": list(ellipse.y),
        "y": list(ellipse.x),
        "mode": "lines",
        "name": f"95 % of the class (n = {ellipse.n})",
        "line": {"color": GREY, "width": 1.5, "dash": "dot"},
        "hoverinfo": "skip",
    }


def _look_at_the_bulk(
    cloud: SlopeCloud, coloured: Set[int], layout: dict[str, Any]
) -> None:
    """Look where the class and what is in colour lie; say how many lie elsewhere."""
    ellipse = cloud.ellipse
    if ellipse is None:
        return
    shown = [point for point in cloud.points if point.group_id in coloured]
    x_low, x_high = _reached(
        ellipse.low_y, ellipse.high_y, [p.intercept for p in shown]
    )
    y_low, y_high = _reached(ellipse.low_x, ellipse.high_x, [p.slope for p in shown])
    outside = sum(
        not (x_low <= point.intercept <= x_high and y_low <= point.slope <= y_high)
        for point in cloud.points
    )
    if outside:
        layout["xaxis"]["range"] = [x_low, x_high]
        layout["yaxis"]["range"] = [y_low, y_high]
        layout["xaxis"]["title"]["text"] += f"<br>{outside} further out, in the table"


def _reached(low: float, high: float, values: Sequence[float]) -> tuple[float, float]:
    """Return an interval around the bulk, widened to what is near it."""
    width = high - low
    near = [v for v in values if low - 2 * width <= v <= high + 2 * width]
    edge = width / 8
    return min([low, *near]) - edge, max([high, *near]) + edge
