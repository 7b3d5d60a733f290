"""Actions on unknowns: taking vials into the book, and issuing them to groups."""

from results.issuing.plan import IssuePlan, PlanRow
from results.issuing.planning import Issued, issue_by_plan, preview_plan
from results.issuing.tables import VialsReport, import_vials
from results.issuing.vials import issue_vial

__all__ = [
    "IssuePlan",
    "Issued",
    "PlanRow",
    "VialsReport",
    "import_vials",
    "issue_by_plan",
    "issue_vial",
    "preview_plan",
]
