"""Suggested grades, stored after what they rest on; a person's word is never changed.

Lock order: the grades of a call are locked by rising key, before the work that they
rest on is read. Actions of people lock in the same order.
"""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet

from results.models import Grade, GradeEvent, Group
from results.models.gradable import (
    Granted,
    Work,
    load_work,
    schemes_in_force,
    standing_of,
)
from results.policy.marking import Scheme, Suggestion, parts_as_json, suggest
from results.policy.marking.moves import Move, move, same_points

_CHANGED = (
    "scheme",
    "submission",
    "version",
    "max_points",
    "suggested",
    "suggested_points",
    "final_points",
    "final_parts",
    "proposed",
    "proposed_scheme",
    "proposed_points",
    "proposed_why",
    "proposed_at",
)
COMPUTATION = "the computation"


def refresh_grades(
    groups: QuerySet[Group],
    *,
    why: str,
    now: datetime,
    by_id: int | None = None,
    by_name: str = COMPUTATION,
    granting: bool = False,
) -> int:
    """Suggest the grades of some groups anew; return how many that changed.

    Drafts follow; for grades that a person has set, a change waits as a proposal.
    Groups whose course has no grading scheme, or whose readings are still being
    computed, are left alone.

    Parameters
    ----------
    why : str
        What made it necessary, for the history.
    granting : bool
        Whether an allowance is being granted, which may raise accepted grades.
    """
    chosen = groups.filter(section__course__grading_schemes__isnull=False).distinct()
    ids = sorted(chosen.values_list("pk", flat=True))
    if not ids:
        return 0
    with transaction.atomic():
        # Locked before the work is read: who comes second sees what the first left.
        locked = list(_locked(ids))
        works = [
            w for w in load_work(Group.objects.filter(pk__in=ids)) if not w.is_waiting
        ]
        schemes = schemes_in_force(work.course_id for work in works)
        granted = Granted(schemes)
        book = _Book(why=why, now=now, by_id=by_id, by_name=by_name, granting=granting)
        for work in works:
            scheme_id, scheme = schemes[work.course_id]
            book.enter(work, scheme_id, scheme, granted)
        known = {grade.group_id for grade in locked}
        if missing := [row for row in book.fresh() if row.group_id not in known]:
            Grade.objects.bulk_create(missing, ignore_conflicts=True)
            # Somebody else may have been quicker: theirs is then brought up to date.
            locked += _locked([row.group_id for row in missing])
        return book.settle(locked)


def _locked(group_ids: Iterable[int]) -> QuerySet[Grade]:
    return (
        Grade.objects.select_for_update()
        .filter(group_id__in=list(group_ids))
        .order_by("pk")
    )


class _Book:
    """New suggestions by group, entered into the grades that stand."""

    def __init__(
        self,
        *,
        why: str,
        now: datetime,
        by_id: int | None,
        by_name: str,
        granting: bool,
    ) -> None:
        self._why, self._now, self._granting = why, now, granting
        self._by_id, self._by_name = by_id, by_name
        self._new: dict[int, tuple[Work, int, Suggestion]] = {}
        self._events: list[GradeEvent] = []

    def enter(
        self, work: Work, scheme_id: int, scheme: Scheme, granted: Granted
    ) -> None:
        suggestion = suggest(work.facts, scheme, granted.for_work(work))
        self._new[work.group_id] = (work, scheme_id, suggestion)

    def fresh(self) -> Iterable[Grade]:
        """Yield a draft for every group."""
        for work, scheme_id, suggestion in self._new.values():
            yield Grade(
                group_id=work.group_id,
                scheme_id=scheme_id,
                submission_id=work.submission_id,
                max_points=suggestion.max_points,
                suggested=suggestion.as_json(),
                suggested_points=suggestion.total,
            )

    def settle(self, grades: Iterable[Grade]) -> int:
        """Enter the suggestions into locked grades; return how many changed."""
        changed = [
            grade
            for grade in grades
            if grade.group_id in self._new and self._settle(grade)
        ]
        Grade.objects.bulk_update(changed, _CHANGED)
        GradeEvent.objects.bulk_create(self._events)
        return len(changed)

    def _settle(self, grade: Grade) -> bool:
        work, scheme_id, new = self._new[grade.group_id]
        standing = standing_of(grade)
        what = move(standing, new, granting=self._granting)
        before = standing.total
        if what is Move.NOTHING:
            return False
        if what is Move.SUGGEST:
            self._suggest(grade, work, scheme_id, new)
            if new.total != before:
                self._tell(grade, GradeEvent.Kind.SUGGESTED, before, new.total)
        elif what is Move.RAISE:
            self._suggest(grade, work, scheme_id, new)
            grade.final_points = new.total
            grade.final_parts = parts_as_json(new.parts)
            self._clear_proposal(grade)
            self._tell(grade, GradeEvent.Kind.ALLOWED, before, new.total)
        elif what is Move.PROPOSE:
            self._propose(grade, scheme_id, new)
            self._tell(grade, GradeEvent.Kind.PROPOSED, before, new.total)
        else:
            self._clear_proposal(grade)
        if what is not Move.SUGGEST or _is_news(standing.suggested, new):
            grade.version += 1
        return True

    def _suggest(
        self, grade: Grade, work: Work, scheme_id: int, new: Suggestion
    ) -> None:
        grade.scheme_id = scheme_id
        grade.submission_id = work.submission_id
        grade.max_points = new.max_points
        grade.suggested = new.as_json()
        grade.suggested_points = new.total

    def _propose(self, grade: Grade, scheme_id: int, new: Suggestion) -> None:
        grade.proposed = new.as_json()
        grade.proposed_scheme_id = scheme_id
        grade.proposed_points = new.total
        grade.proposed_why = self._why
        grade.proposed_at = self._now

    def _clear_proposal(self, grade: Grade) -> None:
        grade.proposed, grade.proposed_why = {}, ""
        grade.proposed_scheme_id = grade.proposed_points = grade.proposed_at = None

    def _tell(
        self,
        grade: Grade,
        kind: GradeEvent.Kind,
        before: Decimal | None,
        after: Decimal | None,
    ) -> None:
        self._events.append(
            GradeEvent(
                grade=grade,
                kind=kind,
                at=self._now,
                by_id=self._by_id,
                by_name=self._by_name,
                before=before,
                after=after,
                why=self._why,
            )
        )


def _is_news(old: Suggestion, new: Suggestion) -> bool:
    """Whether somebody who saw the old suggestion would have to look again."""
    return old.look != new.look or not same_points(old, new)


def refresh_grades_of(submission_ids: Iterable[int], *, now: datetime) -> int:
    """Suggest the grades of the groups behind some computed submissions anew."""
    return refresh_grades(
        Group.objects.filter(
            submissions__in=list(submission_ids), submissions__is_current=True
        ),
        why="computed anew",
        now=now,
    )
