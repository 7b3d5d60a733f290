"""Figures of the course page, built here and drawn in the browser.

Every figure is a dictionary of plain numbers and texts; its background and text
colours are set where it is drawn, so that it suits a light and a dark screen.
"""

from typing import Any

import plotly.graph_objects as go

from frontend.comparison import Comparison
from results.summaries.course import CourseSummary

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
_MARGIN = {"l": 64, "r": 16, "t": 16, "b": 56}


def slopes_figure(course: CourseSummary) -> dict[str, Any]:
    """Return slope against intercept, one dot a group, one sign a section."""
    figure = go.Figure()
    for index, line in enumerate(course.sections):
        points = [point for point in course.slopes if point.section == line.section]
        if not points:
            continue
        figure.add_scatter(
            x=[point.intercept for point in points],
            y=[point.slope for point in points],
            mode="markers",
            name=line.section,
            marker={
                "color": _COLOURS[index % len(_COLOURS)],
                "symbol": _SYMBOLS[index % len(_SYMBOLS)],
                "size": 9,
            },
            customdata=[[point.group, point.station] for point in points],
            hovertemplate=(
                "group %{customdata[0]}, station %{customdata[1]}<br>"
                "slope %{y:.4f} L/mg<br>intercept %{x:.4f}"
            ),
        )
    figure.update_layout(
        xaxis_title="intercept, absorbance",
        yaxis_title="slope, L/mg",
        legend={"orientation": "h", "y": -0.25},
    )
    return _finished(figure, height=420)


def recovery_figure(comparison: Comparison) -> dict[str, Any]:
    """Return recoveries by section: every group, and the median with its interval."""
    figure = go.Figure()
    rows = [row for row in comparison.rows if row.line.recovery is not None]
    figure.add_scatter(
        x=[ratio for row in rows for ratio in row.line.recoveries],
        y=[row.line.section for row in rows for _ in row.line.recoveries],
        mode="markers",
        name="groups",
        marker={"color": _COLOURS[4], "symbol": "circle-open", "size": 7},
        hovertemplate="%{y}: %{x:.3f}",
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
        xaxis_title="recovery: found over assigned iron content",
        yaxis={"type": "category", "autorange": "reversed"},
        legend={"orientation": "h", "y": -0.25},
    )
    return _finished(figure, height=max(260, 120 + 34 * len(rows)))


def findings_figure(course: CourseSummary) -> dict[str, Any]:
    """Return how many groups have each finding."""
    figure = go.Figure()
    figure.add_bar(
        x=[finding.n_groups for finding in course.findings],
        y=[finding.title for finding in course.findings],
        orientation="h",
        marker={"color": _COLOURS[0]},
        text=[finding.n_groups for finding in course.findings],
        hovertemplate="%{y}: %{x} groups",
    )
    figure.update_layout(
        xaxis={"title": "groups", "rangemode": "tozero", "tickformat": "d"},
        yaxis={"type": "category", "autorange": "reversed", "automargin": True},
    )
    return _finished(figure, height=max(200, 100 + 34 * len(course.findings)))


def _finished(figure: go.Figure, *, height: int) -> dict[str, Any]:
    figure.update_layout(
        template="none",
        height=height,
        margin=_MARGIN,
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
    )
    document: dict[str, Any] = figure.to_plotly_json()
    return document
