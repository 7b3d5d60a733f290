"""One group's grade beside its work, as a page shows it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from results.models import Grade, GradeState, RecheckRequest
from results.policy.marking import (
    Part,
    Scheme,
    Side,
    Suggestion,
    lost_to,
    parts_from_json,
)
from results.policy.visits import State
from results.summaries.comments import comment_to_start_from
from results.summaries.lines import FindingSummary
from results.summaries.section import GroupRow


@dataclass(frozen=True, slots=True)
class Proposal:
    """A change that waits for a person; points are None if they are left open."""

    points: Decimal | None
    max_points: Decimal
    parts: tuple[Part, ...]
    why: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Recheck:
    """A group's request, and the answer if there is one."""

    request_id: int
    text: str
    asked_at: datetime
    answer: str
    answered_by: str
    answered_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeRow:
    """One group's grade beside its work.

    Attributes
    ----------
    version : int
        What a person has to have seen to change the grade.
    state : str
        "draft", "accepted" or "released"; "waiting" while readings are computed.
    look : tuple of str
        Why to look before accepting; empty if nothing stands out.
    parts : tuple of Part
        Of the number that counts now.
    comment : str
        As stored, or to start from (`is_prewritten`).
    """

    work: GroupRow
    version: int
    state: str
    look: tuple[str, ...]
    parts: tuple[Part, ...]
    suggested: Decimal | None
    final: Decimal | None
    max_points: Decimal
    is_override: bool
    reason: str
    comment: str
    is_prewritten: bool
    accepted_by: str
    accepted_at: datetime | None
    seen_by: str
    seen_at: datetime | None
    released_at: datetime | None
    proposal: Proposal | None
    rechecks: tuple[Recheck, ...]

    @property
    def points(self) -> Decimal | None:
        """The number that counts now: the final one, or else the suggestion."""
        return self.suggested if self.final is None else self.final

    @property
    def lost_to_measurement(self) -> Decimal:
        """Points lost at the bench."""
        return lost_to(self.parts, Side.MEASUREMENT)

    @property
    def lost_to_arithmetic(self) -> Decimal:
        """Points lost on paper."""
        return lost_to(self.parts, Side.ARITHMETIC)

    @property
    def lost_in_handing_in(self) -> Decimal:
        """Points lost by what is missing, late, or was sent again."""
        return lost_to(self.parts, Side.HANDING_IN)

    @property
    def open_recheck(self) -> Recheck | None:
        """The request that waits for an answer."""
        return next((one for one in self.rechecks if not one.answered_at), None)

    @property
    def wants_look(self) -> bool:
        """Whether the row stands out: to be looked at, decided, or answered."""
        return bool(self.look or self.proposal or self.open_recheck)


def row_without_grade(work: GroupRow, nothing: Suggestion, scheme: Scheme) -> GradeRow:
    """Return the row of a group whose grade is not stored yet."""
    is_absent = work.state is State.NOT_SENT
    return GradeRow(
        work=work,
        version=0,
        state="draft" if is_absent else "waiting",
        look=nothing.look if is_absent else (),
        parts=nothing.parts if is_absent else (),
        suggested=nothing.total if is_absent else None,
        final=None,
        max_points=scheme.max_points,
        is_override=False,
        reason="",
        comment="",
        is_prewritten=True,
        accepted_by="",
        accepted_at=None,
        seen_by="",
        seen_at=None,
        released_at=None,
        proposal=None,
        rechecks=(),
    )


def row_with_grade(
    work: GroupRow,
    grade: Grade,
    told: tuple[FindingSummary, ...],
    rechecks: tuple[Recheck, ...],
) -> GradeRow:
    """Return the row of a group with its stored grade; no query."""
    suggestion = Suggestion.from_json(grade.suggested)
    is_draft = grade.state == GradeState.DRAFT
    prewritten = is_draft and not grade.comment
    return GradeRow(
        work=work,
        version=grade.version,
        state=grade.state,
        look=suggestion.look,
        parts=suggestion.parts if is_draft else parts_from_json(grade.final_parts),
        suggested=grade.suggested_points,
        final=grade.final_points,
        max_points=grade.max_points,
        is_override=grade.is_override,
        reason=grade.reason,
        comment=comment_to_start_from(suggestion.parts, told)
        if prewritten
        else grade.comment,
        is_prewritten=prewritten,
        accepted_by=_name(grade.accepted_by),
        accepted_at=grade.accepted_at,
        seen_by=_name(grade.seen_by),
        seen_at=grade.seen_at,
        released_at=grade.released_at,
        proposal=_proposal(grade),
        rechecks=rechecks,
    )


def _name(user: Any) -> str:
    return user.get_username() if user is not None else ""


def _proposal(grade: Grade) -> Proposal | None:
    if grade.proposed_at is None:
        return None
    proposed = Suggestion.from_json(grade.proposed)
    return Proposal(
        grade.proposed_points,
        proposed.max_points,
        proposed.parts,
        grade.proposed_why,
        grade.proposed_at,
    )


def rechecks_of(grade_ids: Iterable[int]) -> dict[int, tuple[Recheck, ...]]:
    """Return the requests for some grades, oldest first; one query."""
    found: dict[int, list[Recheck]] = defaultdict(list)
    for row in (
        RecheckRequest.objects.filter(grade_id__in=list(grade_ids))
        .select_related("answered_by")
        .order_by("asked_at", "pk")
    ):
        found[row.grade_id].append(
            Recheck(
                row.pk,
                row.text,
                row.asked_at,
                row.answer,
                _name(row.answered_by),
                row.answered_at,
            )
        )
    return {key: tuple(value) for key, value in found.items()}
