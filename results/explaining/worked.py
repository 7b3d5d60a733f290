"""Each number of a group's own working, right or not, beside what was typed."""

from dataclasses import dataclass

from results.models import Submission
from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.policy.typed import OWN_FIELDS
from results.recompute.readings import load_batches
from results.science.answer import compute_answers
from results.science.worked import Verdict, stage_verdicts

# In the order of the working.
_WORDS = {
    "own_slope": ("slope", "L/mg"),
    "own_intercept": ("intercept", "absorbance"),
    "own_unknown_mg_L": ("unknown tube", "mg/L"),
    "own_iron_mg": ("first flask", "mg"),
    "own_iron_percent": ("iron content", "%"),
}
_VERDICTS = {
    Verdict.RIGHT: "right",
    Verdict.RIGHT_GIVEN: "right, given the number before it",
    Verdict.WRONG: "does not follow",
}


@dataclass(frozen=True, slots=True)
class NumberVerdict:
    """One number that a group worked out.

    Attributes
    ----------
    typed : str
        With the digits that the group gave.
    verdict : str
        In words; a number that follows from a wrong one is no second slip.
    """

    title: str
    unit: str
    typed: str
    verdict: str


def verdicts_on_working(group_id: int, *, rights: Rights) -> tuple[NumberVerdict, ...]:
    """Judge each number of the group's current worked answer; empty without any.

    Raises
    ------
    NotFound
        There is no such group among the viewer's.
    """
    current = Submission.objects.filter(group_id=group_id, is_current=True)
    submission = current.select_related("group__section").first()
    if submission is None or not rights.may_see_section(
        submission.group.section_id, submission.group.section.course_id
    ):
        message = "There is no such group in your sections."
        raise NotFound(message)
    if not any(getattr(submission, name) for name in OWN_FIELDS):
        return ()
    batch = next(load_batches(current))
    answers = compute_answers(batch.scheme, batch.readings)
    if answers.reason[0]:
        return ()
    (verdicts,) = stage_verdicts(batch.scheme, batch.readings, answers, batch.reported)
    return tuple(
        NumberVerdict(title, unit, getattr(submission, name), _VERDICTS[verdict])
        for name, (title, unit) in _WORDS.items()
        if (verdict := verdicts[name.removeprefix("own_")]) in _VERDICTS
    )
