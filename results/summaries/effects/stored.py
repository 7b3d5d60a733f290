"""The stored row that all summaries of effects read."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from results.models import Course, StoredEffects
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.claims import Response
from results.science.effects import CrossedEffects
from results.science.effects.document import VERSION, load


@dataclass(frozen=True, slots=True)
class Stored:
    """A course and its stored document; empty if nothing was compared yet."""

    course: Course
    fitted_at: datetime | None
    n_answers: int
    document: Mapping[str, Any]

    def fitted(self, response: Response) -> CrossedEffects | None:
        """Return the effects on one response."""
        found = self.document.get("responses", {}).get(response.value)
        return load(found) if found else None


def stored_effects(course_code: str, *, rights: Rights) -> Stored:
    """Return what is stored of a course; two queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    row = StoredEffects.objects.filter(course=course, version=VERSION).first()
    if row is None:
        return Stored(course, None, 0, {})
    return Stored(course, row.fitted_at, row.n_answers, row.document)
