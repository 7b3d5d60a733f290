"""What a grade rests on, and nothing that says who the group is."""

from dataclasses import dataclass, replace
from enum import StrEnum


class AllowanceKind(StrEnum):
    """What an allowance does to the accuracy part; it can only raise it."""

    WIDEN = "widen"
    OTHER_VALUE = "other_value"
    FULL_ACCURACY = "full_accuracy"
    LEAVE_OUT = "leave_out"

    @property
    def label(self) -> str:
        """The kind in words."""
        return {
            AllowanceKind.WIDEN: "widen the bands by so many percent",
            AllowanceKind.OTHER_VALUE: "grade against another value too, % iron, "
            "whichever favours the group",
            AllowanceKind.FULL_ACCURACY: "full points for accuracy",
            AllowanceKind.LEAVE_OUT: "leave accuracy out: it counts like the rest",
        }[self]

    @property
    def needs_amount(self) -> bool:
        """Whether the allowance goes with a number."""
        return self in {AllowanceKind.WIDEN, AllowanceKind.OTHER_VALUE}


@dataclass(frozen=True, slots=True)
class Terms:
    """One allowance as a grade sees it.

    Attributes
    ----------
    amount : float
        Percent by which bands widen, or the other value, % iron by mass.
    label : str
        What it was granted for, such as "lot L3".
    """

    kind: AllowanceKind
    label: str
    reason: str
    amount: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GradingFacts:
    """What is known of a group's work.

    Attributes
    ----------
    iron_percent, assigned_percent, u_assigned_percent : float, optional
        Recomputed and assigned iron content and the standard uncertainty of the
        latter, % by mass; None where there is none.
    spread_percent : float, optional
        Relative standard deviation of the unknown tubes, percent.
    tubes_read, tubes_expected : int
        Tubes with a reading, and tubes of the protocol.
    gave_own : bool
        Whether the group handed in an answer of its own.
    no_answer_because : str
        Sentence to be told, marked; empty where there is an answer.
    slips : tuple of str
        Marked titles of slips in its working that change its answer, one for each step.
    late_min : float
        Minutes after the due time at which the first revision came; 0 if in time.
    again_after_due, again : int
        Later revisions that came after the due time, and all later ones.
    look : tuple of str
        Why a person should look before accepting.
    """

    received: bool = True
    no_answer_because: str = ""
    iron_percent: float | None = None
    assigned_percent: float | None = None
    u_assigned_percent: float = 0.0
    spread_percent: float | None = None
    tubes_read: int = 0
    tubes_expected: int = 0
    gave_own: bool = False
    slips: tuple[str, ...] = ()
    late_min: float = 0.0
    again_after_due: int = 0
    again: int = 0
    look: tuple[str, ...] = ()

    @property
    def is_complete(self) -> bool:
        """Whether every tube of the protocol was read."""
        return self.received and self.tubes_read >= self.tubes_expected

    @property
    def error_percent(self) -> float | None:
        """Deviation of the recomputed answer from the assigned value, percent."""
        if self.iron_percent is None or not self.assigned_percent:
            return None
        return 100 * (self.iron_percent / self.assigned_percent - 1)

    @property
    def u_relative_percent(self) -> float:
        """Standard uncertainty of the assigned value, percent of it."""
        if not self.assigned_percent:
            return 0.0
        return 100 * self.u_assigned_percent / self.assigned_percent

    def against(self, assigned_percent: float) -> "GradingFacts":
        """Return the facts as they were if another value had been assigned."""
        return replace(self, assigned_percent=assigned_percent)


NOTHING_RECEIVED = GradingFacts(received=False, look=("Nothing received",))
