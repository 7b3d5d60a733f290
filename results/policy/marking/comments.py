"""A comment to start from, made of what was found; a person edits it."""

from collections.abc import Sequence
from decimal import Decimal

from results.policy.marking.points import NONE, in_print
from results.policy.marking.scheme import PartName, Side
from results.policy.marking.suggested import Part, lost_to


def prewritten_comment(parts: Sequence[Part], sentences: Sequence[str]) -> str:
    """Return a comment for students.

    Parameters
    ----------
    sentences : sequence of str
        What the group is told of its findings anyway.
    """
    if not parts:
        return ""
    lines = [_opening(parts), *sentences]
    return " ".join(line for line in lines if line)


def _opening(parts: Sequence[Part]) -> str:
    if any(part.points is None for part in parts):
        return ""
    at_bench = lost_to(parts, Side.MEASUREMENT)
    on_paper = lost_to(parts, Side.ARITHMETIC)
    if at_bench == on_paper == NONE:
        return _praise(parts)
    if on_paper == NONE:
        return f"Your working is right; {_points(at_bench)} went at the bench."
    if at_bench == NONE:
        return f"Good bench work; {_points(on_paper)} went on paper."
    return (
        f"{_points(at_bench).capitalize()} went at the bench, {in_print(on_paper)} "
        "on paper."
    )


def _praise(parts: Sequence[Part]) -> str:
    judged = {part.name for part in parts if part.max_points}
    if PartName.WORKED_ANSWER in judged:
        return "Good work, at the bench and on paper."
    return "Good work."


def _points(points: Decimal) -> str:
    return f"{in_print(points)} {'point' if points == 1 else 'points'}"
