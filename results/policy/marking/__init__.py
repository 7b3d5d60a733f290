"""Marking: a grading scheme's rules, and the grade they suggest for a group's work."""

from results.policy.marking.bands import Bands, Knot, Shape
from results.policy.marking.comments import prewritten_comment
from results.policy.marking.document import DEFAULT_DOCUMENT, read_scheme
from results.policy.marking.facts import (
    NOTHING_RECEIVED,
    AllowanceKind,
    GradingFacts,
    Terms,
)
from results.policy.marking.look import Noticed, reasons_to_look
from results.policy.marking.points import in_print, read_points
from results.policy.marking.scheme import PartName, Scheme, Side
from results.policy.marking.suggest import suggest
from results.policy.marking.suggested import (
    Part,
    Suggestion,
    lost_to,
    parts_as_json,
    parts_from_json,
)

__all__ = [
    "DEFAULT_DOCUMENT",
    "NOTHING_RECEIVED",
    "AllowanceKind",
    "Bands",
    "GradingFacts",
    "Knot",
    "Noticed",
    "Part",
    "PartName",
    "Scheme",
    "Shape",
    "Side",
    "Suggestion",
    "Terms",
    "in_print",
    "lost_to",
    "parts_as_json",
    "parts_from_json",
    "prewritten_comment",
    "read_points",
    "read_scheme",
    "reasons_to_look",
    "suggest",
]
