"""Do levels of a class's factors differ, by how much, and what cannot be told."""

from results.science.effects.crossed import crossed_effects
from results.science.effects.discovery import benjamini_hochberg
from results.science.effects.one_way import (
    OneWay,
    VarianceComponents,
    one_way,
    variance_components,
)
from results.science.effects.result import (
    CannotSeparate,
    Contrast,
    CrossedEffects,
    FactorEffects,
    LevelEffect,
    Verdict,
)

__all__ = [
    "CannotSeparate",
    "Contrast",
    "CrossedEffects",
    "FactorEffects",
    "LevelEffect",
    "OneWay",
    "VarianceComponents",
    "Verdict",
    "benjamini_hochberg",
    "crossed_effects",
    "one_way",
    "variance_components",
]
