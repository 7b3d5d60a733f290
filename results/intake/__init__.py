"""Actions that bring readings in."""

from results.intake.drafts import take_edits
from results.intake.guessing import TOO_MANY, count_wrong_try, seconds_to_wait
from results.intake.parked import retry
from results.intake.sign_in import (
    SignedInBySlip,
    sign_in_group,
    slip_digest,
    slip_in_use,
)
from results.intake.submissions import Accepted, accept_submission
from results.intake.tables import TableReport, import_readings
from results.intake.worked_answer import add_worked_answer

__all__ = [
    "TOO_MANY",
    "Accepted",
    "SignedInBySlip",
    "TableReport",
    "accept_submission",
    "add_worked_answer",
    "count_wrong_try",
    "import_readings",
    "retry",
    "seconds_to_wait",
    "sign_in_group",
    "slip_digest",
    "slip_in_use",
    "take_edits",
]
