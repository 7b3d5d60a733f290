"""Facts and a scheme in, a suggested grade out; the final grade is a person's.

A worked example, checked by hand in `tests/policy/marking/test_worked_example.py`
and shown on the scheme's page. The scheme gives 10 points for accuracy in steps
(to 1 % 10, to 2 % 9, to 3 % 8, to 5 % 7, to 8 % 5, to 12 % 4, beyond 2), taking two
standard uncertainties of the lot off each deviation; 2 for precision, along a line
from 2 at 1 % to 0 at 5 %; 5 for the worked answer, 2 less for each slip; 3 for
completeness; a point off for each day late.

A group found 12.36 % iron where 12.00 % is assigned with u = 0.03 %. Deviation:
0.36 / 12.00 = 3.00 %. Allowed for: 2 × 0.03 / 12.00 = 0.50 %. Counted: 2.50 %,
which the band to 3 % gives 8 points. Its unknown tubes spread by 2 %:
2 - 2 × (2 - 1) / (5 - 1) = 1.50 points. One slip on paper: 5 - 2 = 3. It read six of
its seven tubes: 3 × 6 / 7 = 2.57. It came 26 hours late, so in the second day: -2.
Sum: 8 + 1.50 + 3 + 2.57 - 2 = 13.07 of 20. Lost to measurement 2.50, to
arithmetic 2.00, in handing in 2.43.
"""

import math
from collections.abc import Iterable
from decimal import Decimal

from results.policy.language import marked
from results.policy.marking.accuracy import NOTHING_CAME, accuracy_part
from results.policy.marking.bands import to_hundredth
from results.policy.marking.facts import GradingFacts, Terms
from results.policy.marking.points import NONE, in_print, rounded
from results.policy.marking.said import Said, said
from results.policy.marking.scheme import (
    Counted,
    LatenessRule,
    PartName,
    PrecisionRule,
    ResubmissionRule,
    Scheme,
    WorkedRule,
)
from results.policy.marking.suggested import Part, Suggestion

_DAY_MIN = 24 * 60
_ONE_TUBE = marked("Fewer than two unknown tubes: a person has to decide.")
_SPREAD = marked("The unknown tubes spread by {spread} % (one sd).")
_NO_OWN = marked("No answer of the group's own was handed in.")
_NOTHING_TO_CHECK_AGAINST = marked(
    "Nothing to check it against: a person has to decide."
)
_AGREES = marked("The working agrees with the readings.")
_SLIPS = marked("{slips}. Each slip counts once.")
_READ = marked("{n} of {expected} tubes were read.")
_IN_TIME = marked("In time.")
_LATE = marked("Late, days begun: {days}. Points: {points}.")
_AGAIN = marked("Sent again, times: {n}; {free} free.")
_NOT_AGAIN = marked("Not sent again.")


def suggest(
    facts: GradingFacts, scheme: Scheme, allowances: Iterable[Terms] = ()
) -> Suggestion:
    """Return the suggested grade of one group."""
    others: list[Part] = []
    if scheme.precision is not None:
        others.append(_precision(facts, scheme.precision))
    if scheme.worked_answer is not None:
        others.append(_worked(facts, scheme.worked_answer))
    if scheme.completeness is not None:
        others.append(_completeness(facts, scheme.completeness))
    parts = list(others)
    if scheme.accuracy is not None:
        parts.insert(0, accuracy_part(facts, scheme.accuracy, allowances, others))
    if scheme.lateness is not None:
        parts.append(_lateness(facts, scheme.lateness))
    if scheme.resubmission is not None:
        parts.append(_resubmission(facts, scheme.resubmission))
    look = facts.look
    undecided = [part.name.label for part in parts if part.points is None]
    if undecided:
        look += (f"For a person to decide: {', '.join(undecided)}",)
    return Suggestion(tuple(parts), look)


def _precision(facts: GradingFacts, rule: PrecisionRule) -> Part:
    def part(points: Decimal | None, reason: Said) -> Part:
        return Part(PartName.PRECISION, points, rule.max_points, (reason,))

    if not facts.received:
        return part(NONE, NOTHING_CAME)
    if facts.no_answer_because:
        return part(NONE, said(facts.no_answer_because))
    if facts.spread_percent is None:
        return part(None, said(_ONE_TUBE))
    spread = str(to_hundredth(facts.spread_percent))
    return part(rule.bands.points(facts.spread_percent), said(_SPREAD, spread=spread))


def _worked(facts: GradingFacts, rule: WorkedRule) -> Part:
    def part(points: Decimal | None, reason: Said) -> Part:
        return Part(PartName.WORKED_ANSWER, points, rule.max_points, (reason,))

    if not facts.received:
        return part(NONE, NOTHING_CAME)
    if not facts.gave_own:
        return part(NONE, said(_NO_OWN))
    if facts.no_answer_because:
        return part(None, said(_NOTHING_TO_CHECK_AGAINST))
    if not facts.slips:
        return part(rule.max_points, said(_AGREES))
    points = max(rule.max_points - rule.per_slip * len(facts.slips), NONE)
    return part(points, said(_SLIPS, slips=facts.slips))


def _completeness(facts: GradingFacts, max_points: Decimal) -> Part:
    expected = max(facts.tubes_expected, 1)
    read = min(facts.tubes_read, expected)
    if not facts.received:
        return Part(PartName.COMPLETENESS, NONE, max_points, (NOTHING_CAME,))
    points = rounded(max_points * read / expected)
    reason = said(_READ, n=str(read), expected=str(expected))
    return Part(PartName.COMPLETENESS, points, max_points, (reason,))


def _lateness(facts: GradingFacts, rule: LatenessRule) -> Part:
    late_min = facts.late_min - rule.grace_min if facts.received else 0.0
    if late_min <= 0:
        reason = said(_IN_TIME) if facts.received else NOTHING_CAME
        return Part(PartName.LATENESS, NONE, NONE, (reason,))
    days = math.ceil(late_min / _DAY_MIN)
    taken_off = min(rule.per_day * days, rule.most)
    reason = said(_LATE, days=str(days), points=in_print(-taken_off))
    return Part(PartName.LATENESS, -taken_off, NONE, (reason,))


def _resubmission(facts: GradingFacts, rule: ResubmissionRule) -> Part:
    after_due = rule.counted is Counted.AFTER_DUE
    counted = facts.again_after_due if after_due else facts.again
    charged = max(counted - rule.free, 0) if facts.received else 0
    taken_off = min(rule.cost * charged, rule.most)
    reason = said(_AGAIN, n=str(counted), free=str(rule.free))
    if not counted:
        reason = said(_NOT_AGAIN)
    return Part(PartName.RESUBMISSION, -taken_off, NONE, (reason,))
