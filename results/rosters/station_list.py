"""Making, changing and taking away the stations of a course."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from results import tasks
from results.models import Station, Submission
from results.models.courses import locked_course
from results.policy.access import Actor
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.policy.station_list import (
    MOST_STATIONS,
    StationFields,
    read_codes,
    read_fields,
)
from results.recompute import enqueue
from results.summaries.preparing.stations import (
    PreparedStation,
    station_mark,
    stations_of,
)


@dataclass(frozen=True, slots=True)
class TypedStation:
    """One row of the table; `seen` is the station's mark when the page was opened."""

    station_id: int
    seen: str
    typed: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class KeptStations:
    """What became of a table: stations changed, submissions computed anew."""

    n_changed: int
    n_submissions: int


def make_stations(
    course_code: str, codes: str, fields: Mapping[str, str], *, actor: Actor
) -> int:
    """Make stations that share a place, a scale and a step; return how many.

    Parameters
    ----------
    codes : str
        As typed, such as ``1-40``.
    fields : mapping
        `place`, `scale` and `step` as typed.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        Something needs mending, or a code is taken; all of it is named.
    """
    problems: list[Problem] = []
    wanted, read = [], None
    try:
        wanted = read_codes(codes)
    except NotAdmitted as refusal:
        problems += refusal.problems
    try:
        read = read_fields(fields)
    except NotAdmitted as refusal:
        problems += refusal.problems
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        known = {code for (code,) in course.stations.values_list("code")}
        if taken := [code for code in wanted if code in known]:
            named = ", ".join(taken[:4]) + (" and others" if len(taken) > 4 else "")
            problems.append(Problem(("codes",), f"Already there: {named}."))
        elif len(known) + len(wanted) > MOST_STATIONS:
            message = f"A course has {MOST_STATIONS} stations at most."
            problems.append(Problem(("codes",), message))
        if problems or read is None:
            raise NotAdmitted(problems)
        Station.objects.bulk_create(
            Station(
                course=course,
                code=code,
                place=read.place,
                scale=read.scale.value,
                step=read.step,
            )
            for code in wanted
        )
    return len(wanted)


def keep_stations(
    course_code: str,
    rows: Sequence[tuple[str, TypedStation]],
    *,
    actor: Actor,
    now: datetime,
) -> KeptStations:
    """Store a table of stations; rows that were left as they were stay untouched.

    What was read at a station whose scale or step changes is computed anew: its step
    is part of the scatter that its readings are expected to have.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        Rows need mending, or were changed meanwhile; all of it is named.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        list(Station.objects.select_for_update().filter(course=course))
        known = {one.station_id: one for one in stations_of(course)}
        changed: list[tuple[PreparedStation, StationFields]] = []
        problems: list[Problem] = []
        for place, row in rows:
            try:
                new = read_fields(row.typed, place)
            except NotAdmitted as refusal:
                problems += refusal.problems
                continue
            old = known.get(row.station_id)
            if old is None:
                message = "This station was taken away meanwhile."
                problems.append(Problem((place, "place"), message))
            elif station_mark(new) not in {row.seen, old.mark}:
                problems += _against(old, new, row, place)
                changed.append((old, new))
        if problems:
            raise NotAdmitted(problems)
        return KeptStations(len(changed), _change(changed, now))


def _against(
    old: PreparedStation, new: StationFields, row: TypedStation, place: str
) -> list[Problem]:
    problems = []
    if old.mark != row.seen:
        message = "Somebody changed this station meanwhile: load it anew."
        problems.append(Problem((place, "place"), message))
    # Readings keep the scale on which they were typed, and a station's step counts
    # for those on its own scale only: a meter with another scale is another station.
    if old.scale != new.scale and old.n_on_its_scale:
        message = (
            f"{old.n_on_its_scale} submissions were read here on the former scale: "
            "take the station out of service and make another one for the new meter."
        )
        problems.append(Problem((place, "scale"), message))
    return problems


def _change(
    changed: Sequence[tuple[PreparedStation, StationFields]], now: datetime
) -> int:
    read_otherwise = []
    for old, new in changed:
        Station.objects.filter(pk=old.station_id).update(
            place=new.place, scale=new.scale.value, step=new.step
        )
        if (old.scale, old.step) != (new.scale, new.step):
            read_otherwise.append(old.station_id)
    submissions = list(
        Submission.objects.filter(
            station__in=read_otherwise, is_current=True
        ).values_list("pk", flat=True)
    )
    if submissions:
        enqueue(submissions, reason="scale of a station", now=now)
        transaction.on_commit(tasks.wake_worker)
    return len(submissions)


def remove_station(course_code: str, station_id: int, *, actor: Actor) -> str:
    """Take a station away at which nothing was read or noted; return its code.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such station.
    NotAdmitted
        Something would be lost with it.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        list(Station.objects.select_for_update().filter(pk=station_id))
        found = next(
            (one for one in stations_of(course) if one.station_id == station_id), None
        )
        if found is None:
            message = "There is no such station in this course."
            raise NotFound(message)
        if found.holds:
            message = (
                f"Station {found.code} stays: {found.holds} would be lost with it. "
                "Take it out of service instead."
            )
            raise NotAdmitted([Problem(("remove",), message)])
        Station.objects.filter(pk=station_id).delete()
    return found.code
