"""The accuracy part: from the recomputed answer, so that arithmetic costs nothing."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from results.policy.marking.bands import to_hundredth
from results.policy.marking.facts import AllowanceKind, GradingFacts, Terms
from results.policy.marking.points import NONE, in_print, rounded
from results.policy.marking.scheme import AccuracyRule, PartName
from results.policy.marking.suggested import Part


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


def _part(points: Decimal | None, rule: AccuracyRule, reason: str, full: str) -> Part:
    return Part(PartName.ACCURACY, points, rule.max_points, reason, full)


def _judged(facts: GradingFacts, rule: AccuracyRule, extra_percent: float = 0) -> Part:
    if not facts.received:
        return _part(NONE, rule, "Nothing was received.", "")
    if facts.no_answer_because:
        floor = rule.floor if facts.is_complete else NONE
        words = facts.no_answer_because
        if floor:
            words += f" {in_print(floor)} points for complete work."
        return _part(floor, rule, words, "")
    error = facts.error_percent
    if error is None:
        words = "No assigned value to compare with: a person has to decide."
        return _part(None, rule, words, "")
    taken_off = float(rule.widen_by_u) * facts.u_relative_percent + extra_percent
    points = rule.bands.points(max(abs(error) - taken_off, 0.0))
    by_bands = points
    if facts.is_complete:
        points = max(points, rule.floor)
    share = f"{in_print(points)} of {in_print(rule.max_points)} points"
    closed = f"{share} for closeness, recomputed from the readings."
    size = to_hundredth(error)
    words = f"{size} % from the assigned value"
    if taken_off:
        words += f", {to_hundredth(taken_off)} % of it allowed for"
    words += f": {share}."
    if points > by_bands:
        floored = " That is the least for complete work."
        closed, words = closed + floored, words + floored
    return _part(points, rule, closed, words)


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
    share = f"{in_print(points)} of {in_print(rule.max_points)} points"
    return _part(
        points,
        rule,
        f"{share}: raised for a fault that was not the group's.",
        f"{share}: allowance for {terms.label}, {terms.reason}",
    )


def _share(others: Sequence[Part]) -> Decimal:
    """Return the share of points that the other parts reached; all without others."""
    whole = sum((part.max_points for part in others), NONE)
    reached = sum((part.points or NONE for part in others), NONE)
    return reached / whole if whole else Decimal(1)
