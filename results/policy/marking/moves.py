"""What a new suggestion may do to a grade that already stands."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from results.policy.marking.suggested import Suggestion


class Move(StrEnum):
    """What becomes of a grade when its suggestion comes anew."""

    NOTHING = "nothing"
    SUGGEST = "suggest"
    PROPOSE = "propose"
    RAISE = "raise"
    WITHDRAW = "withdraw"


@dataclass(frozen=True, slots=True)
class Standing:
    """A grade as it stands.

    Attributes
    ----------
    final : Decimal or None
        What a person set; None for a draft.
    proposed, declined : Suggestion or None
        What waits for a decision, and what was decided against.
    """

    suggested: Suggestion
    final: Decimal | None = None
    is_override: bool = False
    proposed: Suggestion | None = None
    declined: Suggestion | None = None

    @property
    def total(self) -> Decimal | None:
        """The number that counts now."""
        return self.suggested.total if self.final is None else self.final


def move(standing: Standing, new: Suggestion, *, granting: bool = False) -> Move:
    """Return what a new suggestion does.

    A draft follows its suggestion. What a person set changes only by a person: a
    change waits as a proposal, unless a coordinator is granting an allowance that
    raises a grade which was accepted as suggested.
    """
    if standing.final is None:
        return Move.NOTHING if standing.suggested == new else Move.SUGGEST
    if same_points(standing.suggested, new):
        return Move.NOTHING if standing.proposed is None else Move.WITHDRAW
    if granting and _raises(standing, new):
        return Move.RAISE
    for known in (standing.proposed, standing.declined):
        if known is not None and same_points(known, new):
            return Move.NOTHING
    return Move.PROPOSE


def _raises(standing: Standing, new: Suggestion) -> bool:
    return (
        not standing.is_override
        and new.total is not None
        and standing.final is not None
        and new.total > standing.final
        and new.max_points == standing.suggested.max_points
    )


def same_points(one: Suggestion, other: Suggestion) -> bool:
    """Whether two suggestions give the same points, part by part."""

    def points(suggestion: Suggestion) -> list[object]:
        return [(part.name, part.points, part.max_points) for part in suggestion.parts]

    return points(one) == points(other)
