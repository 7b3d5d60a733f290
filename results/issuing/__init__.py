"""Actions on unknowns: lots, what they contain, their vials, and issuing these."""

from results.issuing.assays import (
    Correction,
    Recorded,
    record_assay,
    set_aside_result,
    withdraw_assay,
)
from results.issuing.labels import draw_vials, retire_vials, use_vials_again
from results.issuing.lots import make_lots, retire_lot, use_lot_again
from results.issuing.plan import IssuePlan, PlanRow
from results.issuing.planning import Issued, issue_by_plan, preview_plan
from results.issuing.tables import VialsReport, import_vials
from results.issuing.vials import issue_vial

__all__ = [
    "Correction",
    "IssuePlan",
    "Issued",
    "PlanRow",
    "Recorded",
    "VialsReport",
    "draw_vials",
    "import_vials",
    "issue_by_plan",
    "issue_vial",
    "make_lots",
    "preview_plan",
    "record_assay",
    "retire_lot",
    "retire_vials",
    "set_aside_result",
    "use_lot_again",
    "use_vials_again",
    "withdraw_assay",
]
