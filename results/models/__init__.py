"""Records and their invariants."""

from results.models.allowances import Allowance
from results.models.assays import Assay, AssayResult
from results.models.assigned import AssignedValues
from results.models.course import (
    Course,
    Duty,
    Group,
    Protocol,
    Section,
    Station,
)
from results.models.drafts import DraftEdit, SheetDraft
from results.models.effects import StoredEffects
from results.models.grading import (
    Grade,
    GradeEvent,
    GradeState,
    GradingScheme,
    RecheckRequest,
)
from results.models.outcomes import Answer, ClassFit, Finding, PendingRecompute
from results.models.people import Membership, Student
from results.models.prep import PrepSheet
from results.models.service import StationNote
from results.models.staffing import DutyNote, Invitation, OutsideIdentity
from results.models.submissions import Reading, Submission
from results.models.unknowns import AssignedValue, Issue, Lot, Vial
from results.models.work import WorkBatch

__all__ = [
    "Allowance",
    "Answer",
    "Assay",
    "AssayResult",
    "AssignedValue",
    "AssignedValues",
    "ClassFit",
    "Course",
    "DraftEdit",
    "Duty",
    "DutyNote",
    "Finding",
    "Grade",
    "GradeEvent",
    "GradeState",
    "GradingScheme",
    "Group",
    "Invitation",
    "Issue",
    "Lot",
    "Membership",
    "OutsideIdentity",
    "PendingRecompute",
    "PrepSheet",
    "Protocol",
    "Reading",
    "RecheckRequest",
    "Section",
    "SheetDraft",
    "Station",
    "StationNote",
    "StoredEffects",
    "Student",
    "Submission",
    "Vial",
    "WorkBatch",
]
