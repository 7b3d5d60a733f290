"""Which stations are in service, and what was decided about each before."""

from dataclasses import dataclass
from datetime import datetime

from results.models import Station, StationNote
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.refusals import NotFound


@dataclass(frozen=True, slots=True)
class PastNote:
    """One time that a station's service was decided."""

    in_service: bool
    note: str
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class StationService:
    """One station; its history newest first."""

    station_id: int
    station: str
    place: str
    in_service: bool
    note: str
    notes: tuple[PastNote, ...]


@dataclass(frozen=True, slots=True)
class StationServices:
    """All stations of a course, by code."""

    course: str
    title: str
    stations: tuple[StationService, ...]

    @property
    def n_out(self) -> int:
        """Number of stations out of service."""
        return sum(not one.in_service for one in self.stations)


def station_services(course_code: str, *, rights: Rights) -> StationServices:
    """Return the stations of a course with their notes; three queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    notes: dict[int, list[PastNote]] = {}
    for row in StationNote.objects.filter(station__course=course).order_by("-at"):
        note = PastNote(row.in_service, row.note, row.at, row.by_name)
        notes.setdefault(row.station_id, []).append(note)
    return StationServices(
        course.code,
        course.title,
        tuple(
            StationService(
                one.pk,
                one.code,
                one.place,
                one.in_service,
                one.note,
                tuple(notes.get(one.pk, ())),
            )
            for one in Station.objects.filter(course=course).order_by("code")
        ),
    )


def station_service(
    course_code: str, station_id: int, *, rights: Rights
) -> StationService:
    """Return one station with its notes; three queries.

    Raises
    ------
    NotFound
        The viewer coordinates no such course, or it has no such station.
    """
    for one in station_services(course_code, rights=rights).stations:
        if one.station_id == station_id:
            return one
    message = "There is no such station in this course."
    raise NotFound(message)
