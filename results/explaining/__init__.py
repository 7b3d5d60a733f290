"""Actions that show how one answer came about."""

from results.explaining.answer import (
    Explanation,
    Part,
    Source,
    check_answer,
    explain_answer,
)
from results.explaining.tolerances import ProtocolTolerances, tolerances_of_course
from results.explaining.worked import NumberVerdict, verdicts_on_working
from results.science.budget import Tolerance
from results.science.ledger import CalculationStep
from results.science.monte_carlo import MonteCarlo

__all__ = [
    "CalculationStep",
    "Explanation",
    "MonteCarlo",
    "NumberVerdict",
    "Part",
    "ProtocolTolerances",
    "Source",
    "Tolerance",
    "check_answer",
    "explain_answer",
    "tolerances_of_course",
    "verdicts_on_working",
]
