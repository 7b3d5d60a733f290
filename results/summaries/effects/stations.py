"""Stations as a coordinator sees them: effects, history, blanks, and service."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from results.policy.access import Rights
from results.policy.claims import Response, blank_sentence, moved_sentence
from results.policy.typed import Scale
from results.science.effects import Verdict
from results.summaries.effects.course import CourseEffects, effects_of
from results.summaries.effects.lines import EffectLine, shown
from results.summaries.effects.names import Names
from results.summaries.effects.stored import Stored, stored_effects


@dataclass(frozen=True, slots=True)
class HistoryPoint:
    """One week of a station: slope against the others', percent.

    Attributes
    ----------
    low, high : float
        95 % interval of the week's median.
    smoothed, limit_low, limit_high : float or None
        Moving average and its limits; None while there is too little history.
    """

    week: int
    n: int
    value: float
    low: float
    high: float
    smoothed: float | None
    limit_low: float | None
    limit_high: float | None


@dataclass(frozen=True, slots=True)
class StationHistory:
    """A station against its own history."""

    points: tuple[HistoryPoint, ...]
    centre: float
    has_moved: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class BlankWatch:
    """Blanks read again at a station, on its own scale."""

    n: int
    latest: float
    target: float
    scale: str
    warns: bool
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StationLine:
    """One station.

    Attributes
    ----------
    slope, recovery, curvature : EffectLine or None
        None if nothing was read at it.
    """

    station_id: int
    station: str
    place: str
    in_service: bool
    note: str
    slope: EffectLine | None
    recovery: EffectLine | None
    curvature: EffectLine | None
    history: StationHistory | None
    blank: BlankWatch | None

    @property
    def sentences(self) -> tuple[str, ...]:
        """What asks for a look at the station, most telling first."""
        lines = (self.curvature, self.slope, self.recovery)
        said = [
            line.sentence
            for line in lines
            if line and line.verdict in {Verdict.DIFFERS, Verdict.CANNOT_TELL}
        ]
        if self.history and self.history.has_moved:
            said.append(self.history.sentence)
        if self.blank and self.blank.warns:
            said.append(self.blank.sentence)
        return tuple(said)


@dataclass(frozen=True, slots=True)
class StationsSummary:
    """All stations, those first that ask for a look."""

    course: str
    title: str
    fitted_at: datetime | None
    stations: tuple[StationLine, ...]
    effects: CourseEffects


def stations_summary(course_code: str, *, rights: Rights) -> StationsSummary:
    """Return the stations of a course; six queries, however many groups.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    stored = stored_effects(course_code, rights=rights)
    names = Names(stored.course.pk)
    return stations_of(stored, names, effects_of(stored, names))


def stations_of(
    stored: Stored, names: Names, effects: CourseEffects
) -> StationsSummary:
    """Return the stations in a stored document; no query."""
    histories = {one["station"]: one for one in stored.document.get("histories", ())}
    blanks = {one["station"]: one for one in stored.document.get("blanks", ())}
    lines = {
        response: {
            line.level_id: line
            for table in effects.tables
            if (table.response, table.factor) == (response, "station")
            for line in table.lines
        }
        for response in Response
    }
    stations = [
        StationLine(
            station_id=pk,
            station=station.code,
            place=station.place,
            in_service=station.in_service,
            note=station.note,
            slope=lines[Response.SLOPE].get(pk),
            recovery=lines[Response.RECOVERY].get(pk),
            curvature=lines[Response.CURVATURE].get(pk),
            history=_history(station.code, histories.get(pk)),
            blank=_blank(station.code, blanks.get(pk)),
        )
        for pk, station in names.stations.items()
    ]
    stations.sort(key=lambda one: (-len(one.sentences), one.station))
    return StationsSummary(
        course=stored.course.code,
        title=stored.course.title,
        fitted_at=stored.fitted_at,
        stations=tuple(stations),
        effects=effects,
    )


def _history(code: str, stored: Mapping[str, Any] | None) -> StationHistory | None:
    if stored is None:
        return None
    n_points = len(stored["periods"])

    def column(name: str) -> list[float | None]:
        values = stored[name] or [None] * n_points
        return [None if v is None else shown(Response.SLOPE, v) for v in values]

    points = tuple(
        HistoryPoint(
            week=week,
            n=n,
            value=shown(Response.SLOPE, value),
            low=shown(Response.SLOPE, value - 1.96 * se),
            high=shown(Response.SLOPE, value + 1.96 * se),
            smoothed=smoothed,
            limit_low=limit_low,
            limit_high=limit_high,
        )
        for week, n, value, se, smoothed, limit_low, limit_high in zip(
            stored["periods"],
            stored["n"],
            stored["value"],
            stored["se"],
            column("smoothed"),
            column("low"),
            column("high"),
            strict=True,
        )
    )
    return StationHistory(
        points,
        shown(Response.SLOPE, stored["centre"]),
        stored["has_moved"],
        moved_sentence(code, n_points) if stored["has_moved"] else "",
    )


def _blank(code: str, stored: Mapping[str, Any] | None) -> BlankWatch | None:
    if stored is None or stored["latest"] is None:
        return None
    unit = " %T" if stored["scale"] == Scale.PERCENT_T else " A"
    return BlankWatch(
        n=stored["n"],
        latest=stored["latest"],
        target=stored["target"],
        scale=stored["scale"],
        warns=stored["warns"],
        sentence=blank_sentence(code, stored["latest"], stored["target"], unit)
        if stored["warns"]
        else "",
    )
