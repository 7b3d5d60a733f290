"""What is wrong with a course rather than with its students; coordinators only."""

from results.summaries.effects.course import (
    CourseEffects,
    RefusedContrast,
    ShownContrast,
    contrast,
    course_effects,
)
from results.summaries.effects.lines import EffectLine, EffectTable
from results.summaries.effects.lots import LotLine, LotsSummary, lots_summary
from results.summaries.effects.sections import (
    SectionEffects,
    SectionsSummary,
    SlopeCloud,
    sections_summary,
    slope_cloud,
)
from results.summaries.effects.set_aside import (
    SetAsideGroup,
    set_aside_groups,
)
from results.summaries.effects.stations import (
    StationLine,
    StationsSummary,
    stations_summary,
)
from results.summaries.effects.whole import WholeCourse, whole_course

__all__ = [
    "CourseEffects",
    "EffectLine",
    "EffectTable",
    "LotLine",
    "LotsSummary",
    "RefusedContrast",
    "SectionEffects",
    "SectionsSummary",
    "SetAsideGroup",
    "ShownContrast",
    "SlopeCloud",
    "StationLine",
    "StationsSummary",
    "WholeCourse",
    "contrast",
    "course_effects",
    "lots_summary",
    "sections_summary",
    "set_aside_groups",
    "slope_cloud",
    "stations_summary",
    "whole_course",
]
