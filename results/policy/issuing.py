"""What is asked of a plan for issuing vials, and what is refused."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from results.policy.refusals import NotAdmitted, Problem, Refusal

MOST_SEED = 999_999
LONGEST_REASON = 200
_NO_REASON = "Write why vials are issued anew, such as: spilt, or readings repeated."


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuingWish:
    """Whom a plan is for, and what it keeps.

    Attributes
    ----------
    seed : int
        The same wish and seed give the same plan, as long as nothing else changes.
    sections : frozenset of int
        Sections whose groups are to have vials.
    group : int
        Only this group, whatever the sections; 0 for all.
    again : bool
        Another vial for groups that hold one, unless they have sent readings.
    reason : str
        Why; needed when a group gets another vial.
    neighbours_may_share : bool
        Whether neighbours may get the same lot.
    plans_stations, keeps_stations : bool
        Whether groups are sent to stations, and whether those sent already stay.
    rooms : mapping of int to str
        Rooms to whose stations sections keep; any station for sections not named.
    """

    seed: int
    sections: frozenset[int] = frozenset()
    group: int = 0
    again: bool = False
    reason: str = ""
    neighbours_may_share: bool = False
    plans_stations: bool = True
    keeps_stations: bool = True
    rooms: Mapping[int, str] = field(default_factory=dict)


def read_wish(
    typed: Mapping[str, str],
    *,
    sections: Collection[int],
    group: int = 0,
    rooms: Mapping[int, str] | None = None,
) -> IssuingWish:
    """Return a wish as typed.

    Parameters
    ----------
    typed : mapping
        `seed` and `reason`; `again`, `may_share`, `no_stations` and `new_stations`
        where these are asked for.

    Raises
    ------
    NotAdmitted
        Something needs mending; all of it is named.
    """
    problems = []
    text = typed.get("seed", "").strip()
    is_seed = text.isascii() and text.isdecimal() and int(text[:9]) <= MOST_SEED
    if not is_seed:
        message = f"Give the seed as a whole number from 0 to {MOST_SEED}."
        problems.append(Problem(("seed",), message))
    reason = typed.get("reason", "").replace("\x00", "").strip()
    if "again" in typed and not reason:
        problems.append(Problem(("reason",), _NO_REASON))
    if len(reason) > LONGEST_REASON:
        message = f"Shorten the reason to {LONGEST_REASON} signs."
        problems.append(Problem(("reason",), message))
    if not sections and not group:
        message = "Choose the sections whose groups are to have vials."
        problems.append(Problem(("sections",), message))
    if problems:
        raise NotAdmitted(problems)
    return IssuingWish(
        seed=int(text),
        sections=frozenset(sections),
        group=group,
        again="again" in typed,
        reason=reason,
        neighbours_may_share="may_share" in typed,
        plans_stations="no_stations" not in typed,
        keeps_stations="new_stations" not in typed,
        rooms={section: room for section, room in (rooms or {}).items() if room},
    )


def missing_reason() -> NotAdmitted:
    """Return the refusal of another vial without a reason."""
    return NotAdmitted([Problem(("reason",), _NO_REASON)])


class PlanChanged(Refusal):
    """What a plan rests on changed after it was looked at."""

    code = "plan-changed"

    def __init__(self) -> None:
        super().__init__(
            "Groups, vials or stations changed since you looked at this plan, or "
            "another plan was asked for. Nothing was issued: look at it as it is "
            "now, then decide again."
        )


class CannotIssue(Refusal):
    """There is no plan as wished; the sentence says why."""

    code = "cannot-issue"
