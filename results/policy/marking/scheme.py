"""A grading scheme: parts with their points, bands and policies."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from results.policy.language import tell
from results.policy.marking.bands import Bands
from results.policy.marking.points import NONE


class PartName(StrEnum):
    """What a grade is made of."""

    ACCURACY = "accuracy"
    PRECISION = "precision"
    WORKED_ANSWER = "worked_answer"
    COMPLETENESS = "completeness"
    LATENESS = "lateness"
    RESUBMISSION = "resubmission"

    @property
    def label(self) -> str:
        """The part in words, in the reader's language."""
        return {
            PartName.ACCURACY: tell("accuracy"),
            PartName.PRECISION: tell("precision"),
            PartName.WORKED_ANSWER: tell("worked answer"),
            PartName.COMPLETENESS: tell("completeness"),
            PartName.LATENESS: tell("late"),
            PartName.RESUBMISSION: tell("sent again"),
        }[self]

    @property
    def side(self) -> "Side":
        """Where points of this part are lost."""
        return _SIDES[self]


class Side(StrEnum):
    """Where points are lost: at the bench, on paper, or in handing in."""

    MEASUREMENT = "measurement"
    ARITHMETIC = "arithmetic"
    HANDING_IN = "handing_in"


_SIDES = {
    PartName.ACCURACY: Side.MEASUREMENT,
    PartName.PRECISION: Side.MEASUREMENT,
    PartName.WORKED_ANSWER: Side.ARITHMETIC,
    PartName.COMPLETENESS: Side.HANDING_IN,
    PartName.LATENESS: Side.HANDING_IN,
    PartName.RESUBMISSION: Side.HANDING_IN,
}


@dataclass(frozen=True, slots=True)
class AccuracyRule:
    """Points by the deviation of the recomputed answer from the assigned value.

    Attributes
    ----------
    widen_by_u : Decimal
        How many standard uncertainties of the lot's assigned value are taken off a
        deviation before its band is read; 0 for none.
    floor : Decimal
        Least points for work that is complete.
    """

    max_points: Decimal
    bands: Bands
    widen_by_u: Decimal = NONE
    floor: Decimal = NONE


@dataclass(frozen=True, slots=True)
class PrecisionRule:
    """Points by the relative standard deviation of the unknown tubes, percent."""

    max_points: Decimal
    bands: Bands


@dataclass(frozen=True, slots=True)
class WorkedRule:
    """Points for the group's own working; each slip is charged once, where it began."""

    max_points: Decimal
    per_slip: Decimal


@dataclass(frozen=True, slots=True)
class LatenessRule:
    """Points taken off for each day begun after the due time and the grace."""

    per_day: Decimal
    most: Decimal
    grace_min: int = 0


class Counted(StrEnum):
    """Which revisions after the first count as sent again."""

    AFTER_DUE = "after_due"
    ALL = "all"

    @property
    def label(self) -> str:
        """The choice in words."""
        return {
            Counted.AFTER_DUE: "those after the due time",
            Counted.ALL: "all after the first",
        }[self]


@dataclass(frozen=True, slots=True)
class ResubmissionRule:
    """Points taken off for each revision beyond the free ones."""

    free: int
    cost: Decimal
    most: Decimal
    counted: Counted = Counted.AFTER_DUE


@dataclass(frozen=True, slots=True, kw_only=True)
class Scheme:
    """A course's grading scheme; a part that is None is not graded."""

    title: str
    accuracy: AccuracyRule | None = None
    precision: PrecisionRule | None = None
    worked_answer: WorkedRule | None = None
    completeness: Decimal | None = None
    lateness: LatenessRule | None = None
    resubmission: ResubmissionRule | None = None

    @property
    def max_points(self) -> Decimal:
        """Most points that a group can get."""
        rules = (self.accuracy, self.precision, self.worked_answer)
        return sum(
            (rule.max_points for rule in rules if rule is not None),
            self.completeness or NONE,
        )
