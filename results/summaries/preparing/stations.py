"""The stations of a course, and what was read at each."""

import hashlib
from dataclasses import dataclass

from django.db.models import Count, F, Q

from results.models import Course, Station
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.station_list import StationFields


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedStation:
    """One station.

    Attributes
    ----------
    n_submissions : int
        All revisions that name it; `n_on_its_scale` of them were read on the scale
        that it has now.
    mark : str
        Changes with its place, scale and step.
    """

    station_id: int
    code: str
    place: str
    scale: str
    step: float
    in_service: bool
    n_submissions: int
    n_on_its_scale: int
    n_notes: int
    mark: str

    @property
    def holds(self) -> str:
        """What would be lost with it, in words; empty if it can be taken away."""
        counts = ((self.n_submissions, "submission"), (self.n_notes, "service note"))
        told = [f"{n} {word}{'' if n == 1 else 's'}" for n, word in counts if n]
        return " and ".join(told)


@dataclass(frozen=True, slots=True)
class PreparedStations:
    """The stations of a course, by code."""

    course: str
    course_title: str
    stations: tuple[PreparedStation, ...]


def prepared_stations(course_code: str, *, rights: Rights) -> PreparedStations:
    """Return the stations of a course; two queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    return PreparedStations(course.code, course.title, tuple(stations_of(course)))


def stations_of(course: Course) -> list[PreparedStation]:
    """Return the stations of a course, by code as people count; one query."""
    rows = Station.objects.filter(course=course).annotate(
        n_submissions=Count("submissions", distinct=True),
        n_on_its_scale=Count(
            "submissions", filter=Q(submissions__scale=F("scale")), distinct=True
        ),
        n_notes=Count("notes", distinct=True),
    )
    return [
        PreparedStation(
            station_id=row.pk,
            code=row.code,
            place=row.place,
            scale=row.scale,
            step=row.step,
            in_service=row.in_service,
            n_submissions=row.n_submissions,
            n_on_its_scale=row.n_on_its_scale,
            n_notes=row.n_notes,
            mark=station_mark(row),
        )
        for row in sorted(rows, key=lambda one: (len(one.code), one.code))
    ]


def station_mark(row: Station | StationFields) -> str:
    """Return a mark that changes with a station's place, scale and step."""
    text = "\n".join([row.place, row.scale, repr(row.step)])
    return hashlib.sha256(text.encode()).hexdigest()[:32]
