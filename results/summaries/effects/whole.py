"""Stations, lots and sections of a course at once, read from its store once."""

from dataclasses import dataclass
from datetime import datetime

from results.policy.access import Rights
from results.summaries.effects.course import effects_of
from results.summaries.effects.lots import LotsSummary, lots_of
from results.summaries.effects.names import Names
from results.summaries.effects.sections import SectionsSummary, sections_of
from results.summaries.effects.stations import StationsSummary, stations_of
from results.summaries.effects.stored import stored_effects


@dataclass(frozen=True, slots=True)
class WholeCourse:
    """Everything that is compared in a course."""

    stations: StationsSummary
    lots: LotsSummary
    sections: SectionsSummary


def whole_course(course_code: str, *, rights: Rights, now: datetime) -> WholeCourse:
    """Return all comparisons of a course; seven queries, however many groups.

    Parameters
    ----------
    now : datetime
        Of the lots' assigned values, the present ones are shown.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    stored = stored_effects(course_code, rights=rights)
    names = Names(stored.course.pk)
    effects = effects_of(stored, names)
    return WholeCourse(
        stations_of(stored, names, effects),
        lots_of(stored, names, effects, now=now),
        sections_of(stored, names, effects),
    )
