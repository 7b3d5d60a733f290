"""The page of stations, laid out."""

from dataclasses import dataclass

from frontend.comparing.drawing import Figure
from frontend.comparing.forest import forest_figure, history_figure
from frontend.comparing.headlines import is_claim, stations_headline
from frontend.comparing.rows import Printed, printed, signed
from results.summaries.effects import EffectLine, StationLine, StationsSummary
from results.summaries.effects.stations import HistoryPoint

AXIS = "slope over that of the other stations"


@dataclass(frozen=True, slots=True)
class StationRow:
    """One station in the table."""

    line: StationLine
    slope: Printed
    recovery: Printed
    curvature: Printed


@dataclass(frozen=True, slots=True)
class WeekRow:
    """One week of a station's history in print, percent."""

    week: str
    value: str
    interval: str
    smoothed: str
    limits: str
    n: int


@dataclass(frozen=True, slots=True)
class StationLook:
    """One station opened: what is claimed, what could explain it, its history."""

    line: StationLine
    claims: tuple[EffectLine, ...]
    figure: Figure | None
    weeks: tuple[WeekRow, ...]

    @property
    def figure_id(self) -> str:
        """What the numbers of its history are called in the page."""
        return f"history-{self.line.station_id}"


@dataclass(frozen=True, slots=True)
class StationsPage:
    """Everything on the page.

    Attributes
    ----------
    chosen : StationLook or None
        The station that the reader asked to open.
    """

    headline: str
    looks: tuple[StationLook, ...]
    chosen: StationLook | None
    rows: tuple[StationRow, ...]
    figure: Figure | None


def stations_page(summary: StationsSummary, *, chosen: str = "") -> StationsPage:
    """Lay the stations out; `chosen` is the code of one to open."""
    asked = next((one for one in summary.stations if one.station == chosen), None)
    return StationsPage(
        headline=stations_headline(summary),
        looks=tuple(_look(one) for one in summary.stations if one.sentences),
        chosen=_look(asked) if asked and not asked.sentences else None,
        rows=tuple(
            StationRow(
                one, printed(one.slope), printed(one.recovery), printed(one.curvature)
            )
            for one in summary.stations
        ),
        figure=stations_forest(summary),
    )


def stations_forest(summary: StationsSummary, **size: int) -> Figure | None:
    """Return the forest of slopes; None if nothing was compared."""
    table = summary.effects.table("slope", "station")
    if table is None:
        return None
    out = {one.station for one in summary.stations if not one.in_service}
    return forest_figure(table.lines, axis=AXIS, out=out, **size)


def _look(one: StationLine) -> StationLook:
    return StationLook(
        one,
        tuple(
            line
            for line in (one.curvature, one.slope, one.recovery)
            if line and is_claim(line)
        ),
        history_figure(one.history) if one.history else None,
        tuple(_week(point) for point in one.history.points) if one.history else (),
    )


def _week(point: HistoryPoint) -> WeekRow:
    limits = "–"
    if point.limit_low is not None and point.limit_high is not None:
        limits = f"{signed(point.limit_low)} to {signed(point.limit_high)}"
    return WeekRow(
        week=f"{point.week % 100} of {point.week // 100}",
        value=signed(point.value),
        interval=f"{signed(point.low)} to {signed(point.high)}",
        smoothed="–" if point.smoothed is None else signed(point.smoothed),
        limits=limits,
        n=point.n,
    )
