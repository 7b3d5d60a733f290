"""Figures of the course page, built here and drawn in the browser.

Every figure is a dictionary of plain numbers and texts; its background and text
colours are set where it is drawn, so that it suits a light and a dark screen.
"""

from collections.abc import Sequence
from typing import Any

import plotly.graph_objects as go

from frontend.comparison import Comparison
from results.summaries.course import CourseSummary, SlopePoint
from results.summaries.ellipse import class_ellipse
from results.summaries.slips import FindingCount

# Middle tones that stand 3 : 1 against both papers; no orange, which means iron.
_COLOURS = ("#2f7fae", "#7d6fb5", "#4a8a57", "#a2647f", "#6f7f86", "#8a7a2f")
_SYMBOLS = (
    "circle",
    "square",
    "diamond",
    "triangle-up",
    "cross",
    "star",
    "x",
    "triangle-down",
)
_MARGIN = {"l": 72, "r": 16, "t": 48, "b": 72}
# How many robust standard deviations of the recoveries are looked at.
_REACH_SD = 5
_LEGEND = {"orientation": "h", "x": 0, "y": 1.02, "yanchor": "bottom"}


def slopes_figure(course: CourseSummary) -> dict[str, Any]:
    """Return slope against intercept, one dot a group, one sign a section.

    More sections than there are signs share one: nobody could tell them apart.
    """
    figure = go.Figure()
    figure.update_layout(xaxis_title="intercept, absorbance", yaxis_title="slope, L/mg")
    _add_ellipse(figure, course)
    document = _finished(figure, height=460)
    # Put in as they are: the library would look at each of ten thousand numbers.
    document["data"] = [*_dots(course), *document["data"]]
    return document


def _dots(course: CourseSummary) -> list[dict[str, Any]]:
    sections = [line.section for line in course.sections]
    if len(sections) > len(_SYMBOLS):
        return [_dots_of("groups", 4, course.slopes)] if course.slopes else []
    return [
        _dots_of(section, index, points)
        for index, section in enumerate(sections)
        if (points := [one for one in course.slopes if one.section == section])
    ]


def _dots_of(name: str, index: int, points: Sequence[SlopePoint]) -> dict[str, Any]:
    return {
        "type": "scatter",
        "x": [point.intercept for point in points],
        "y": [point.slope for point in points],
        "mode": "markers",
        "name": name,
        "marker": {
            "color": _COLOURS[index % len(_COLOURS)],
            "symbol": _SYMBOLS[index % len(_SYMBOLS)],
            "size": 9,
        },
        "customdata": [
            f"section {point.section}, group {point.group}, station {point.station}"
            for point in points
        ],
        "hovertemplate": (
            "%{customdata}<br>slope %{y:.4f} L/mg<br>intercept %{x:.4f}<extra></extra>"
        ),
    }


def _add_ellipse(figure: go.Figure, course: CourseSummary) -> None:
    """Draw where the class lies and look there; say how many lie elsewhere."""
    points = [(point.intercept, point.slope) for point in course.slopes]
    ellipse = class_ellipse([x for x, _ in points], [y for _, y in points])
    if ellipse is None:
        return
    figure.add_scatter(
        x=ellipse.x,
        y=ellipse.y,
        mode="lines",
        name=f"95 % of the class (n = {ellipse.n})",
        line={"color": _COLOURS[4], "width": 1.5, "dash": "dot"},
        hoverinfo="skip",
    )
    # Twice the bulk's reach, so that whoever is a little off is still in view.
    x_reach = ellipse.high_x - ellipse.low_x
    y_reach = ellipse.high_y - ellipse.low_y
    x_range = [ellipse.low_x - x_reach / 2, ellipse.high_x + x_reach / 2]
    y_range = [ellipse.low_y - y_reach / 2, ellipse.high_y + y_reach / 2]
    outside = sum(
        not (x_range[0] <= x <= x_range[1] and y_range[0] <= y <= y_range[1])
        for x, y in points
    )
    if outside:
        figure.update_xaxes(range=x_range).update_yaxes(range=y_range)
        _say_how_many(figure, outside)


def _say_how_many(figure: go.Figure, outside: int) -> None:
    """Write below a figure how many groups lie outside it."""
    title = figure.layout.xaxis.title.text
    figure.update_xaxes(title_text=f"{title}<br>{outside} further out, in the table")


def recovery_figure(course: CourseSummary, comparison: Comparison) -> dict[str, Any]:
    """Return recoveries by section: every group, and the median with its interval."""
    figure = go.Figure()
    rows = comparison.drawn
    names = {row.line.section for row in rows}
    points = [point for point in course.recoveries if point.section in names]
    figure.add_scatter(
        x=[point.ratio for point in points],
        y=[point.section for point in points],
        customdata=[point.group for point in points],
        mode="markers",
        name="groups",
        marker={"color": _COLOURS[4], "symbol": "circle-open", "size": 7},
        hovertemplate="%{y}, group %{customdata}: %{x:.3f}",
    )
    claims = [row for row in rows if row.interval is not None]
    figure.add_scatter(
        x=[row.line.recovery.median for row in claims if row.line.recovery],
        y=[row.line.section for row in claims],
        error_x={
            "type": "data",
            "array": [
                (row.interval.high - row.interval.low) / 2
                for row in claims
                if row.interval
            ],
            "thickness": 2,
        },
        mode="markers",
        name="median with 95 % interval",
        marker={"color": _COLOURS[0], "symbol": "diamond", "size": 11},
        hovertemplate="%{y}: median %{x:.3f}",
    )
    figure.add_vline(x=1, line={"width": 1, "dash": "dot", "color": _COLOURS[4]})
    figure.update_layout(
        xaxis_title="recovery, found over assigned",
        yaxis={
            "type": "category",
            "categoryorder": "array",
            "categoryarray": [row.line.section for row in rows],
            "autorange": "reversed",
        },
    )
    _look_at_the_bulk(figure, course, comparison)
    return _finished(figure, height=max(280, 140 + 34 * len(rows)))


def _look_at_the_bulk(
    figure: go.Figure, course: CourseSummary, comparison: Comparison
) -> None:
    """Let a few recoveries that are far off not squeeze all others."""
    spread = course.recovery
    if spread is None or not spread.sd:
        return
    intervals = [row.interval for row in comparison.rows if row.interval is not None]
    reach = _REACH_SD * spread.sd
    low = min(1, spread.median - reach, *(interval.low for interval in intervals))
    high = max(1, spread.median + reach, *(interval.high for interval in intervals))
    outside = sum(not low <= point.ratio <= high for point in course.recoveries)
    if outside:
        edge = (high - low) / 40
        figure.update_xaxes(range=[low - edge, high + edge])
        _say_how_many(figure, outside)


def findings_figure(findings: Sequence[FindingCount]) -> dict[str, Any]:
    """Return how many groups have each finding."""
    figure = go.Figure()
    # Whole groups only: a step below one would name some places twice.
    most = max((finding.n_groups for finding in findings), default=0)
    step = max(1, round(most / 6))
    figure.add_bar(
        x=[finding.n_groups for finding in findings],
        y=[finding.title for finding in findings],
        orientation="h",
        marker={"color": _COLOURS[0]},
        text=[finding.n_groups for finding in findings],
        hovertemplate="%{y}: %{x} groups",
    )
    figure.update_layout(
        xaxis={"title": "groups", "rangemode": "tozero", "dtick": step},
        yaxis={"type": "category", "autorange": "reversed", "automargin": True},
    )
    return _finished(figure, height=max(200, 100 + 34 * len(findings)))


def _finished(figure: go.Figure, *, height: int) -> dict[str, Any]:
    figure.update_yaxes(automargin=True, title_standoff=12)
    figure.update_layout(
        template="none",
        height=height,
        margin=_MARGIN,
        legend=_LEGEND,
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
    )
    document: dict[str, Any] = figure.to_plotly_json()
    return document
