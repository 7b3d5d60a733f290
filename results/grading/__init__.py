"""Actions on grades: what a person does is one function each."""

from results.grading.accepting import Accepted, accept_grades, accept_unflagged
from results.grading.allowing import GrantedAllowance, grant_allowance
from results.grading.assaying import (
    FromRecord,
    assign_from_record,
    value_of_record,
)
from results.grading.deciding import (
    comment_grade,
    decide_proposal,
    mark_seen,
    override_grade,
    take_back,
)
from results.grading.rechecks import answer_recheck, ask_for_recheck
from results.grading.releasing import (
    UNDO_WITHIN,
    Released,
    release_section,
    undo_release,
)
from results.grading.revaluing import Revalued, revalue_lot
from results.grading.schemes import (
    AdoptedScheme,
    adopt_grading_scheme,
    show_errors,
)
from results.policy.access import Actor

__all__ = [
    "UNDO_WITHIN",
    "Accepted",
    "Actor",
    "AdoptedScheme",
    "FromRecord",
    "GrantedAllowance",
    "Released",
    "Revalued",
    "accept_grades",
    "accept_unflagged",
    "adopt_grading_scheme",
    "answer_recheck",
    "ask_for_recheck",
    "assign_from_record",
    "comment_grade",
    "decide_proposal",
    "grant_allowance",
    "mark_seen",
    "override_grade",
    "release_section",
    "revalue_lot",
    "show_errors",
    "take_back",
    "undo_release",
    "value_of_record",
]
