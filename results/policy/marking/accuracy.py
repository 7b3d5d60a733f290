"""The accuracy part: from the recomputed answer, so that arithmetic costs nothing."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from results.policy.language import marked
from results.policy.marking.bands import to_hundredth
from results.policy.marking.facts import AllowanceKind, GradingFacts, Terms
from results.policy.marking.points import NONE, in_print, rounded
from results.policy.marking.said import Said, said
from results.policy.marking.scheme import AccuracyRule, PartName
from results.policy.marking.suggested import Part

NOTHING_CAME = said(marked("Nothing was received."))
_FLOOR_ONLY = marked("{points} points for complete work.")
_FLOORED = marked("That is the least for complete work.")
_CLOSENESS = marked(
    "{points} of {most} points for closeness, recomputed from the readings."
)
_RAISED = marked(
    "{points} of {most} points: raised for a fault that was not the group's."
)
_NO_VALUE = marked("No assigned value to compare with: a person has to decide.")
_ERROR = marked("{size} % from the assigned value: {points} of {most} points.")
_ERROR_ALLOWED = marked(
    "{size} % from the assigned value, {allowed} % of it allowed for: {points} of "
    "{most} points."
)
# For staff, whose pages are English.
_ALLOWED = "{points} of {most} points: allowance for {what}, {why}"


def accuracy_part(
    facts: GradingFacts,
    rule: AccuracyRule,
    allowances: Iterable[Terms],
    others: Sequence[Part],
) -> Part:
    """Return the part with every allowance that raises it.

    Parameters
    ----------
    others : sequence of Part
        The other parts with points: what a part that is left out counts like.
    """
    best = _judged(facts, rule)
    for terms in allowances:
        raised = _with(facts, rule, terms, others)
        if facts.received and raised is not None and _more(raised, best):
            best = raised
    return best


def _more(one: Part, other: Part) -> bool:
    return other.points is None or (one.points or NONE) > other.points


def _part(
    points: Decimal | None,
    rule: AccuracyRule,
    reason: tuple[Said, ...],
    open_reason: tuple[Said, ...] = (),
) -> Part:
    return Part(PartName.ACCURACY, points, rule.max_points, reason, open_reason)


def _judged(facts: GradingFacts, rule: AccuracyRule, extra_percent: float = 0) -> Part:
    if not facts.received:
        return _part(NONE, rule, (NOTHING_CAME,))
    if facts.no_answer_because:
        floor = rule.floor if facts.is_complete else NONE
        least = said(_FLOOR_ONLY, points=in_print(floor))
        words = (said(facts.no_answer_because), *([least] if floor else []))
        return _part(floor, rule, words)
    error = facts.error_percent
    if error is None:
        return _part(None, rule, (said(_NO_VALUE),))
    allowed = float(rule.widen_by_u) * facts.u_relative_percent + extra_percent
    left = abs(error) - allowed
    # Not a number where both are without end: a value of next to nothing was meant.
    by_bands = rule.bands.points(left if left > 0 else 0.0)
    points = max(by_bands, rule.floor) if facts.is_complete else by_bands
    of_most = {"points": in_print(points), "most": in_print(rule.max_points)}
    sizes = {"size": str(to_hundredth(error)), "allowed": str(to_hundredth(allowed))}
    full = said(_ERROR_ALLOWED if allowed else _ERROR, **sizes, **of_most)
    floored = (said(_FLOORED),) if points > by_bands else ()
    return _part(
        points, rule, (said(_CLOSENESS, **of_most), *floored), (full, *floored)
    )


def _with(
    facts: GradingFacts, rule: AccuracyRule, terms: Terms, others: Sequence[Part]
) -> Part | None:
    """Return the part under one allowance; None where it has nothing to say."""
    points: Decimal | None
    if terms.kind is AllowanceKind.WIDEN:
        points = _judged(facts, rule, max(terms.amount, 0.0)).points
    elif terms.kind is AllowanceKind.OTHER_VALUE:
        points = _judged(facts.against(terms.amount), rule).points
    elif terms.kind is AllowanceKind.FULL_ACCURACY:
        points = rule.max_points
    else:
        points = rounded(rule.max_points * _share(others))
    if points is None:
        return None
    of_most = {"points": in_print(points), "most": in_print(rule.max_points)}
    return _part(
        points,
        rule,
        (said(_RAISED, **of_most),),
        (said(_ALLOWED, **of_most, what=terms.label, why=terms.reason),),
    )


def _share(others: Sequence[Part]) -> Decimal:
    """Return the share of points that the other parts reached; all without others."""
    whole = sum((part.max_points for part in others), NONE)
    reached = sum((part.points or NONE for part in others), NONE)
    return reached / whole if whole else Decimal(1)
