"""Actions that show how one answer came about."""

from results.explaining.answer import (
    Explanation,
    Part,
    Source,
    check_answer,
    explain_answer,
)
from results.explaining.tolerances import ProtocolTolerances, tolerances_of_course

__all__ = [
    "Explanation",
    "Part",
    "ProtocolTolerances",
    "Source",
    "check_answer",
    "explain_answer",
    "tolerances_of_course",
]
