"""Who would move, and by how much: under another scheme, or by an allowance."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

from results.models import Course, Grade, Group, Lot, Section, Station
from results.models.courses import coordinated_course
from results.models.gradable import (
    Granted,
    Supposed,
    Work,
    load_work,
    schemes_in_force,
    standing_of,
)
from results.policy.access import Rights
from results.policy.marking import (
    AllowanceKind,
    Scheme,
    Suggestion,
    Terms,
    read_scheme,
    suggest,
)
from results.policy.marking.moves import Move, Standing, move
from results.policy.marking.refusals import BadGrade, NoScheme
from results.policy.refusals import NotFound

_MOST_PERCENT = 100


@dataclass(frozen=True, slots=True)
class Mover:
    """One group whose grade would change.

    Attributes
    ----------
    before, after : Decimal or None
        The number that counts now and the one that would; None where a person has
        to decide.
    waits : bool
        Whether a person has set the grade, so that the change would wait.
    """

    group_id: int
    section: str
    group: str
    before: Decimal | None
    before_max: Decimal
    after: Decimal | None
    after_max: Decimal
    waits: bool

    @property
    def by(self) -> Decimal | None:
        """How much the number would change."""
        if self.before is None or self.after is None:
            return None
        return self.after - self.before

    def as_json(self) -> dict[str, Any]:
        """Return what is kept of it."""
        return {
            "section": self.section,
            "group": self.group,
            "before": None if self.before is None else str(self.before),
            "after": None if self.after is None else str(self.after),
            "waits": self.waits,
        }


@dataclass(frozen=True, slots=True)
class Preview:
    """What would change, and for how many groups nothing would.

    Attributes
    ----------
    mark : str
        The same for the same list, so that what is done is what was looked at.
    """

    movers: tuple[Mover, ...]
    n_groups: int
    mark: str

    @property
    def n_up(self) -> int:
        """Number of groups that would gain."""
        return sum((mover.by or 0) > 0 for mover in self.movers)

    @property
    def n_down(self) -> int:
        """Number of groups that would lose."""
        return sum((mover.by or 0) < 0 for mover in self.movers)


@dataclass(frozen=True, slots=True)
class Draft:
    """An allowance that is not granted yet.

    Attributes
    ----------
    for_what : str
        "lot", "station" or "section"; `target_id` is its number.
    """

    for_what: str
    target_id: int
    kind: str
    amount: float | None
    reason: str


def scheme_preview(
    course_code: str, document: Mapping[str, Any], *, rights: Rights
) -> Preview:
    """Return who would move under another scheme; nothing is stored.

    Raises
    ------
    NotFound
        The viewer coordinates no such course.
    NotAdmitted
        The document has problems; all of them are named.
    """
    course = coordinated_course(course_code, rights=rights)
    scheme = read_scheme(document)
    works, grades, granted = load_course(course)
    in_force = schemes_in_force([course.pk]).get(course.pk)
    pairs = []
    for work in works:
        new = suggest(work.facts, scheme, granted.for_work(work))
        standing = standing_in(
            work, grades, granted, in_force[1] if in_force else scheme
        )
        pairs.append((work, standing, new, move(standing, new)))
    return preview_of(pairs, json.dumps(document, sort_keys=True), n=len(works))


def allowance_preview(course_code: str, draft: Draft, *, rights: Rights) -> Preview:
    """Return whose grades an allowance would raise; nothing is stored.

    Raises
    ------
    NotFound
        The viewer coordinates no such course, or it has no such lot, station or
        section.
    BadGrade
        The amount is missing or makes no sense.
    NoScheme
        The course has no grading scheme yet.
    """
    course = coordinated_course(course_code, rights=rights)
    target = target_of(course.pk, draft)
    terms = _terms(draft, target)
    in_force = schemes_in_force([course.pk]).get(course.pk)
    if in_force is None:
        raise NoScheme(course_code)
    works, grades, granted = load_course(course)
    concerned = [
        work
        for work in works
        if getattr(work, f"{draft.for_what}_id") == draft.target_id
    ]
    pairs = []
    for work in concerned:
        new = suggest(work.facts, in_force[1], [*granted.for_work(work), terms])
        standing = standing_in(work, grades, granted, in_force[1])
        pairs.append((work, standing, new, move(standing, new, granting=True)))
    return preview_of(
        pairs, json.dumps(asdict(draft), sort_keys=True), n=len(concerned)
    )


def target_of(course_id: int, draft: Draft) -> Lot | Station | Section:
    """Return the lot, station or section that an allowance is for.

    Raises
    ------
    NotFound
        The course has none of that number.
    """
    own = {"course_id": course_id, "pk": draft.target_id}
    target: Lot | Station | Section | None = None
    if draft.for_what == "lot":
        target = Lot.objects.filter(**own).first()
    elif draft.for_what == "station":
        target = Station.objects.filter(**own).first()
    elif draft.for_what == "section":
        target = Section.objects.filter(**own).first()
    if target is None:
        message = "Choose a lot, a station or a section of this course."
        raise NotFound(message)
    return target


def _terms(draft: Draft, target: Lot | Station | Section) -> Terms:
    if draft.kind not in [kind.value for kind in AllowanceKind]:
        message = "Choose what the allowance does."
        raise BadGrade(message)
    kind = AllowanceKind(draft.kind)
    if kind.needs_amount and not 0 < (draft.amount or 0) <= _MOST_PERCENT:
        message = "Write the percent that goes with this kind, above 0."
        raise BadGrade(message)
    amount = (draft.amount or 0.0) if kind.needs_amount else 0.0
    return Terms(kind, f"{draft.for_what} {target.code}", draft.reason, amount)


def load_course(
    course: Course, *, supposing: Supposed | None = None
) -> tuple[list[Work], dict[int, Grade], Granted]:
    """Return work that is computed, grades by group, and allowances; eight queries."""
    groups = Group.objects.filter(section__course=course)
    works = load_work(groups, supposing=supposing)
    grades = {
        grade.group_id: grade
        for grade in Grade.objects.filter(group__section__course=course)
    }
    settled = [work for work in works if not work.is_waiting]
    return settled, grades, Granted([course.pk])


def standing_in(
    work: Work, grades: Mapping[int, Grade], granted: Granted, scheme: Scheme
) -> Standing:
    """Return a grade as it stands; for a group without one, what it would be."""
    grade = grades.get(work.group_id)
    if grade is not None:
        return standing_of(grade)
    return Standing(suggest(work.facts, scheme, granted.for_work(work)))


Pair = tuple[Work, Standing, Suggestion, Move]


def preview_of(pairs: Iterable[Pair], about: str, *, n: int) -> Preview:
    """Return those whose number would change, furthest first, under one mark."""
    movers = tuple(
        Mover(
            group_id=work.group_id,
            section=work.section,
            group=work.group,
            before=standing.total,
            before_max=standing.suggested.max_points,
            after=new.total,
            after_max=new.max_points,
            waits=what is Move.PROPOSE,
        )
        for work, standing, new, what in pairs
        if what is not Move.NOTHING and _moves(standing, new)
    )
    in_order = tuple(sorted(movers, key=_furthest_first))
    listed = json.dumps([mover.as_json() for mover in in_order])
    mark = hashlib.sha256(f"{about}{listed}".encode()).hexdigest()
    return Preview(in_order, n, mark)


def _furthest_first(mover: Mover) -> tuple[Decimal, str, str]:
    return -abs(mover.by or Decimal(0)), mover.section, mover.group


def _moves(standing: Standing, new: Suggestion) -> bool:
    """Whether the number changes, not its reasons alone."""
    most = standing.suggested.max_points
    return (standing.total, most) != (new.total, new.max_points)
