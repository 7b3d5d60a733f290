"""A suggested grade: its parts with points and reasons, as stored and as read."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from results.policy.marking.points import NONE
from results.policy.marking.said import Said, told
from results.policy.marking.scheme import PartName, Side


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a grade.

    Attributes
    ----------
    points : Decimal or None
        None where only a person can tell. Negative for points taken off.
    max_points : Decimal
        0 for parts that only take off.
    reason : tuple of Said
        One line, without anything that gives the assigned value away.
    open_reason : tuple of Said
        The same for those who may see assigned values; empty if it is no other.
    """

    name: PartName
    points: Decimal | None
    max_points: Decimal
    reason: tuple[Said, ...]
    open_reason: tuple[Said, ...] = ()

    @property
    def lost(self) -> Decimal:
        """Points lost in this part; none where only a person can tell."""
        return NONE if self.points is None else self.max_points - self.points

    def said(self, *, open_values: bool) -> str:
        """Return the reason that a reader may see, in the reader's language."""
        return told((open_values and self.open_reason) or self.reason)


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A suggested grade.

    Attributes
    ----------
    look : tuple of str
        Why a person should look before accepting; empty if nothing stands out.
    """

    parts: tuple[Part, ...]
    look: tuple[str, ...] = ()

    @property
    def max_points(self) -> Decimal:
        """Most points of all parts."""
        return sum((part.max_points for part in self.parts), NONE)

    @property
    def total(self) -> Decimal | None:
        """Sum of the parts, at least 0; None where only a person can tell."""
        if any(part.points is None for part in self.parts):
            return None
        return max(sum((part.points or NONE for part in self.parts), NONE), NONE)

    def lost_to(self, side: Side) -> Decimal:
        """Return the points lost at the bench, on paper, or in handing in."""
        return lost_to(self.parts, side)

    def as_json(self) -> dict[str, Any]:
        """Return what is stored."""
        return {"parts": parts_as_json(self.parts), "look": list(self.look)}

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> "Suggestion":
        """Return what was stored."""
        return cls(parts_from_json(stored["parts"]), tuple(stored["look"]))


def lost_to(parts: Iterable[Part], side: Side) -> Decimal:
    """Return the points that some parts lost on one side."""
    return sum((part.lost for part in parts if part.name.side is side), NONE)


def parts_as_json(parts: Iterable[Part]) -> list[dict[str, Any]]:
    """Return parts as they are stored: points as text, exact."""
    return [
        {
            "name": part.name.value,
            "points": None if part.points is None else str(part.points),
            "max_points": str(part.max_points),
            "reason": [one.as_json() for one in part.reason],
            "open_reason": [one.as_json() for one in part.open_reason],
        }
        for part in parts
    ]


def parts_from_json(stored: Iterable[Mapping[str, Any]]) -> tuple[Part, ...]:
    """Return parts that were stored."""
    return tuple(
        Part(
            PartName(part["name"]),
            None if part["points"] is None else Decimal(part["points"]),
            Decimal(part["max_points"]),
            tuple(map(Said.from_json, part["reason"])),
            tuple(map(Said.from_json, part["open_reason"])),
        )
        for part in stored
    )
