"""What went wrong in a group's own arithmetic.

The group's readings are worked out with every slip that is known, one at a time and,
where two numbers or more were reported, two at a time; a slip counts that reproduces
the very digits reported.  Each number is also checked against the one before it, so
that an error carried forward is charged once.
"""

from results.science.worked.check import Verdict, WorkedFinding, check_worked
from results.science.worked.reported import ReportedValues, read_digits
from results.science.worked.slips import Stage, WorkedSlip
from results.science.worked.verdicts import stage_verdicts
from results.science.worked.working import Library, library

__all__ = [
    "Library",
    "ReportedValues",
    "Stage",
    "Verdict",
    "WorkedFinding",
    "WorkedSlip",
    "check_worked",
    "library",
    "read_digits",
    "stage_verdicts",
]
