"""Actions that bring readings in."""

from results.intake.parked import retry
from results.intake.sign_in import sign_in_group, slip_digest, slip_in_use
from results.intake.submissions import Accepted, accept_submission
from results.intake.tables import TableReport, import_readings

__all__ = [
    "Accepted",
    "TableReport",
    "accept_submission",
    "import_readings",
    "retry",
    "sign_in_group",
    "slip_digest",
    "slip_in_use",
]
