"""A grading scheme's document, read into rules; every problem is named at once."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, TypeVar

from results.policy.marking.bands import Bands, Knot, Shape
from results.policy.marking.points import NONE, in_print, read_points
from results.policy.marking.scheme import (
    AccuracyRule,
    Counted,
    LatenessRule,
    PrecisionRule,
    ResubmissionRule,
    Scheme,
    WorkedRule,
)
from results.policy.refusals import NotAdmitted, Problem

#: To start from: the accuracy bands are common practice in teaching laboratories
#: (from memory), everything is the course's own to set.
DEFAULT_DOCUMENT: Mapping[str, Any] = {
    "title": "Iron, out of 20",
    "accuracy": {
        "points": 10,
        "shape": "step",
        "knots": [[1, 10], [2, 9], [3, 8], [5, 7], [8, 5], [12, 4]],
        "beyond": 2,
        "widen_by_u": 2,
        "floor": 4,
    },
    "precision": {"points": 2, "shape": "linear", "knots": [[1, 2], [5, 0]]},
    "worked_answer": {"points": 5, "per_slip": 2},
    "completeness": {"points": 3},
    "lateness": {"per_day": 1, "most": 4, "grace_min": 15},
    "resubmission": {"free": 1, "cost": 0.5, "most": 2, "counted": "after_due"},
}
_PARTS = (
    "accuracy",
    "precision",
    "worked_answer",
    "completeness",
    "lateness",
    "resubmission",
)
_MOST_MINUTES = 14 * 24 * 60
_MOST_FREE = 100
_MOST_U = 5
_Rule = TypeVar("_Rule")


def read_scheme(document: Mapping[str, Any]) -> Scheme:
    """Read a scheme's document.

    Raises
    ------
    NotAdmitted
        With every problem of the document, each with its place.
    """
    reader = _Reader()
    title = document.get("title", "")
    if not isinstance(title, str) or not title.strip():
        reader.problem(("title",), "Give the scheme a title.")
    for key in set(document) - {"title", *_PARTS}:
        reader.problem((str(key),), "A scheme has no part of this name.")
    parts = {
        name: reader.part(name, document[name])
        for name in _PARTS
        if document.get(name) is not None
    }
    if reader.problems:
        raise NotAdmitted(reader.problems)
    scheme = Scheme(title=str(title).strip(), **parts)
    if scheme.max_points <= 0:
        raise NotAdmitted([Problem((), "At least one part needs points.")])
    return scheme


class _Reader:
    """Reads parts and collects what is wrong with them."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def problem(self, where: tuple[str | int, ...], message: str) -> None:
        self.problems.append(Problem(where, message))

    def part(self, name: str, part: Any) -> Any:
        if not isinstance(part, Mapping):
            self.problem((name,), "Write an object with the part's points.")
            return None
        return getattr(self, name)(part)

    def accuracy(self, part: Mapping[str, Any]) -> AccuracyRule:
        points = self._points(part, "accuracy", "points")
        return AccuracyRule(
            points,
            self._bands(part, "accuracy", points),
            self._points(part, "accuracy", "widen_by_u", most=Decimal(_MOST_U)),
            self._points(part, "accuracy", "floor", most=points),
        )

    def precision(self, part: Mapping[str, Any]) -> PrecisionRule:
        points = self._points(part, "precision", "points")
        return PrecisionRule(points, self._bands(part, "precision", points))

    def worked_answer(self, part: Mapping[str, Any]) -> WorkedRule:
        points = self._points(part, "worked_answer", "points")
        return WorkedRule(
            points, self._points(part, "worked_answer", "per_slip", most=points)
        )

    def completeness(self, part: Mapping[str, Any]) -> Decimal:
        return self._points(part, "completeness", "points")

    def lateness(self, part: Mapping[str, Any]) -> LatenessRule:
        return LatenessRule(
            self._points(part, "lateness", "per_day"),
            self._points(part, "lateness", "most"),
            self._whole(part, "lateness", "grace_min", _MOST_MINUTES),
        )

    def resubmission(self, part: Mapping[str, Any]) -> ResubmissionRule:
        return ResubmissionRule(
            self._whole(part, "resubmission", "free", _MOST_FREE),
            self._points(part, "resubmission", "cost"),
            self._points(part, "resubmission", "most"),
            self._choice(part, "resubmission", "counted", Counted.AFTER_DUE),
        )

    def _points(
        self, part: Mapping[str, Any], name: str, key: str, most: Decimal | None = None
    ) -> Decimal:
        points = read_points(part.get(key, 0))
        if points is None or points < 0:
            self.problem((name, key), "Write a number from 0, to hundredths at most.")
            return NONE
        if most is not None and points > most:
            self.problem((name, key), f"Write {in_print(most)} at most.")
        return points

    def _whole(self, part: Mapping[str, Any], name: str, key: str, most: int) -> int:
        value: object = part.get(key, 0)
        if isinstance(value, bool) or not isinstance(value, int):
            self.problem((name, key), "Write a whole number.")
            return 0
        if not 0 <= value <= most:
            self.problem((name, key), f"Write a whole number from 0 to {most}.")
            return 0
        return value

    def _choice(
        self, part: Mapping[str, Any], name: str, key: str, default: _Rule
    ) -> _Rule:
        kind: Any = type(default)
        value = part.get(key, default)
        if value not in [str(one) for one in kind]:
            words = ", ".join(str(one) for one in kind)
            self.problem((name, key), f"Write one of: {words}.")
            return default
        chosen: _Rule = kind(value)
        return chosen

    def _bands(self, part: Mapping[str, Any], name: str, most: Decimal) -> Bands:
        shape = self._choice(part, name, "shape", Shape.STEP)
        beyond = self._points(part, name, "beyond", most=most)
        typed = part.get("knots")
        if not isinstance(typed, list) or not typed:
            self.problem((name, "knots"), "Write at least one [percent, points].")
            return Bands(shape, (), beyond)
        knots: list[Knot] = []
        for index, pair in enumerate(typed):
            knot = _knot(pair)
            if knot is None:
                self.problem((name, "knots", index), "Write [percent, points].")
            elif problem := _out_of_order(knot, knots, most):
                self.problem((name, "knots", index), problem)
            else:
                knots.append(knot)
        if knots and beyond > knots[-1].points:
            self.problem(
                (name, "beyond"), "Past the last knot, points must not rise again."
            )
        return Bands(shape, tuple(knots), beyond)


def _knot(pair: Any) -> Knot | None:
    if not isinstance(pair, list) or len(pair) != len(("percent", "points")):
        return None
    percent, points = read_points(pair[0]), read_points(pair[1])
    if percent is None or points is None or percent < 0 or points < 0:
        return None
    return Knot(percent, points)


def _out_of_order(knot: Knot, before: list[Knot], most: Decimal) -> str:
    if knot.points > most:
        return f"The part has {in_print(most)} points; a knot cannot give more."
    if before and knot.percent <= before[-1].percent:
        return "Percents must rise from knot to knot."
    if before and knot.points > before[-1].points:
        return "Points must not rise with the deviation."
    return ""
