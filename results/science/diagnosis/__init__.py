"""What went wrong on the bench, at the meter or at the keys.

A group's absorbances are compared with what they should be by the scheme, the class
and declared scatter; every known slip is a shift along one direction of them, whose
evidence has a closed form.  All explanations are weighed against one another and
against "nothing went wrong" (Bayes' theorem).
"""

from results.science.diagnosis.catalogue import CATALOGUE, CODES, deed
from results.science.diagnosis.context import (
    Context,
    class_context,
    no_context,
    own_log_absorptivity,
    own_log_iron,
    told_the_answer,
)
from results.science.diagnosis.deeds import Deed
from results.science.diagnosis.diagnose import diagnose
from results.science.diagnosis.explain import care_of, explain
from results.science.diagnosis.finding import Finding
from results.science.diagnosis.wholeclass import other_lot, same_readings

__all__ = [
    "CATALOGUE",
    "CODES",
    "Context",
    "Deed",
    "Finding",
    "care_of",
    "class_context",
    "deed",
    "diagnose",
    "explain",
    "no_context",
    "other_lot",
    "own_log_absorptivity",
    "own_log_iron",
    "same_readings",
    "told_the_answer",
]
