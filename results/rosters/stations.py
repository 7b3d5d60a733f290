"""Taking a station out of service and putting it back, with a note."""

from datetime import datetime

from django.db import transaction

from results.models import Station, StationNote
from results.models.courses import coordinated_course
from results.policy.access import Actor
from results.policy.refusals import NotAdmitted, NotFound, Problem

_LONGEST_NOTE = 240


def note_station(
    course_code: str,
    station_id: int,
    *,
    in_service: bool,
    note: str,
    actor: Actor,
    now: datetime,
) -> bool:
    """Put a station in or out of service; return whether anything changed.

    The bench sheet offers stations in service only; readings already taken at it
    stay. Saying the same thing twice adds nothing to the history.

    Parameters
    ----------
    note : str
        Why; may be empty for a station that is put back.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such station.
    NotAdmitted
        The note is missing or too long.
    """
    with transaction.atomic():
        station = _locked(course_code, station_id, actor)
        text = note.replace("\x00", "").strip()
        if not text and not in_service:
            message = "Write why, for everybody who looks for the station."
            raise NotAdmitted([Problem(("note",), message)])
        if len(text) > _LONGEST_NOTE:
            message = f"Shorten the note to {_LONGEST_NOTE} signs."
            raise NotAdmitted([Problem(("note",), message)])
        if (station.in_service, station.note) == (in_service, text):
            return False
        station.in_service, station.note = in_service, text
        station.save(update_fields=["in_service", "note"])
        StationNote.objects.create(
            station=station,
            in_service=in_service,
            note=text,
            at=now,
            by_id=actor.user_id,
            by_name=actor.name,
        )
    return True


def _locked(course_code: str, station_id: int, actor: Actor) -> Station:
    course = coordinated_course(course_code, rights=actor.rights)
    station = (
        Station.objects.select_for_update().filter(course=course, pk=station_id).first()
    )
    if station is None:
        message = "Choose a station of this course."
        raise NotFound(message)
    return station
