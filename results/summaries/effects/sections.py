"""Sections side by side, the map of sections and stations, and the cloud of slopes."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from results.models import Answer
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.claims import Response
from results.summaries.course import SlopePoint
from results.summaries.effects.course import CourseEffects, effects_of
from results.summaries.effects.lines import EffectLine
from results.summaries.effects.names import Names
from results.summaries.effects.stored import Stored, stored_effects
from results.summaries.ellipse import Ellipse, class_ellipse


@dataclass(frozen=True, slots=True)
class ErrorSpread:
    """Quantiles of the errors of a section's answers, percent of the assigned value."""

    n: int
    p10: float
    p25: float
    p50: float
    p75: float
    p90: float


@dataclass(frozen=True, slots=True)
class Consistency:
    """Mandel's h and k of a section's recoveries with their 1 % limits (ISO 5725-2).

    None where there is nothing to compare.
    """

    h: float | None
    k: float | None
    h_limit: float | None
    k_limit: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionEffects:
    """One section against the others.

    Attributes
    ----------
    errors : ErrorSpread or None
        None where no answer has an assigned value.
    consistency : Consistency or None
        None for fewer than three sections; without groups set aside.
    recovery, slope, curvature : EffectLine or None
        With the median and its robust interval; None without any answer.
    """

    section_id: int
    section: str
    title: str
    errors: ErrorSpread | None
    consistency: Consistency | None
    recovery: EffectLine | None
    slope: EffectLine | None
    curvature: EffectLine | None


@dataclass(frozen=True, slots=True)
class MapCell:
    """A section at a station: groups, and medians of their errors and slopes.

    Percent: of the assigned value, and against the class's median slope; None where
    nothing is known.
    """

    section: str
    station: str
    n: int
    error: float | None
    slope: float | None


@dataclass(frozen=True, slots=True)
class SectionsSummary:
    """All sections by code, and where each of them worked."""

    course: str
    title: str
    fitted_at: datetime | None
    sections: tuple[SectionEffects, ...]
    cells: tuple[MapCell, ...]
    effects: CourseEffects


@dataclass(frozen=True, slots=True)
class SlopeCloud:
    """Every group's line as a point, with the region of nearly all of them."""

    course: str
    title: str
    points: tuple[SlopePoint, ...]
    ellipse: Ellipse | None


def sections_summary(course_code: str, *, rights: Rights) -> SectionsSummary:
    """Return the sections of a course; six queries, however many groups.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    stored = stored_effects(course_code, rights=rights)
    names = Names(stored.course.pk)
    return sections_of(stored, names, effects_of(stored, names))


def sections_of(
    stored: Stored, names: Names, effects: CourseEffects
) -> SectionsSummary:
    """Return the sections in a stored document; no query."""
    errors = {
        section: ErrorSpread(*numbers)
        for section, *numbers in stored.document.get("sections", ())
    }
    consistency = {
        section: Consistency(*numbers)
        for section, *numbers in stored.document.get("consistency", ())
    }
    lines: Mapping[str, Mapping[Any, EffectLine]] = {
        table.response: {line.level_id: line for line in table.lines}
        for table in effects.tables
        if table.factor == "section"
    }
    return SectionsSummary(
        course=stored.course.code,
        title=stored.course.title,
        fitted_at=stored.fitted_at,
        sections=tuple(
            SectionEffects(
                section_id=pk,
                section=section.code,
                title=section.title,
                errors=errors.get(pk),
                consistency=consistency.get(pk),
                recovery=lines.get(Response.RECOVERY, {}).get(pk),
                slope=lines.get(Response.SLOPE, {}).get(pk),
                curvature=lines.get(Response.CURVATURE, {}).get(pk),
            )
            for pk, section in sorted(
                names.sections.items(), key=lambda item: item[1].code
            )
        ),
        cells=_cells(stored, names),
        effects=effects,
    )


def _cells(stored: Stored, names: Names) -> tuple[MapCell, ...]:
    return tuple(
        MapCell(
            names.of("section", section), names.of("station", station), n, error, slope
        )
        for section, station, n, error, slope in stored.document.get("cells", ())
    )


def slope_cloud(course_code: str, *, rights: Rights) -> SlopeCloud:
    """Return the cloud of slopes of a course; two queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    rows = Answer.objects.filter(
        submission__group__section__course=course, submission__is_current=True
    ).order_by("submission_id")
    points = tuple(
        SlopePoint(group_id, group, section, station, slope, intercept)
        for group_id, group, section, station, slope, intercept in rows.values_list(
            "submission__group_id",
            "submission__group__code",
            "submission__group__section__code",
            "submission__station__code",
            "slope",
            "intercept",
        )
        if slope is not None and intercept is not None
    )
    return SlopeCloud(
        course=course.code,
        title=course.title,
        points=points,
        ellipse=class_ellipse(
            [one.slope for one in points], [one.intercept for one in points]
        ),
    )
