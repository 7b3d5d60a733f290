"""Making, changing and taking away the sections of a course."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from django.db import transaction

from results.models import Course, Group, Section, Submission
from results.models.courses import locked_course
from results.policy.access import Actor
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.policy.timetable import MOST_SECTIONS, SectionTimes
from results.policy.typed_sections import TypedSection, read_sections
from results.recompute import refresh_grades
from results.summaries.preparing.sections import section_mark, sections_of

MOST_GROUPS = 60
_GROUPS_AT_ONCE = 300


@dataclass(frozen=True, slots=True)
class KeptSections:
    """What became of a table: sections made and changed, grades that followed."""

    n_made: int
    n_changed: int
    n_grades: int


def make_sections(
    course_code: str,
    planned: Sequence[SectionTimes],
    *,
    groups_each: int,
    actor: Actor,
) -> None:
    """Make sections, each with groups 1 to n along the benches.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        A code is taken, or the number of groups is none.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        known = {code for (code,) in course.sections.values_list("code")}
        problems = []
        if taken := [one.code for one in planned if one.code in known]:
            message = f"There are sections {', '.join(taken[:4])} already."
            problems.append(Problem(("first_code",), message))
        if len(known) + len(planned) > MOST_SECTIONS:
            message = f"A course has {MOST_SECTIONS} sections at most."
            problems.append(Problem(("meetings",), message))
        problems += _groups_problem(groups_each, least=0)
        if problems:
            raise NotAdmitted(problems)
        _make_groups(store_sections(course, planned), groups_each)


def keep_sections(
    course_code: str,
    rows: Sequence[tuple[str, TypedSection]],
    *,
    actor: Actor,
    now: datetime,
    zone: tzinfo,
) -> KeptSections:
    """Store a table of sections; rows that were left as they were stay untouched.

    Where a due time moves, what was received is marked late or in time anew, and
    suggested grades follow.

    Parameters
    ----------
    rows : sequence of (str, TypedSection)
        Each under the name of its place on the page.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        Rows need mending, or were changed meanwhile; all of it is named.
    """
    sections = read_sections(list(rows), zone)
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        known = {one.pk: one for one in course.sections.select_for_update()}
        changed: list[tuple[Section, SectionTimes]] = []
        made, problems = [], []
        for (place, row), new in zip(rows, sections, strict=True):
            old = known.get(row.section_id)
            if not row.section_id:
                made.append(new)
            elif old is None:
                message = "This section was taken away meanwhile."
                problems.append(Problem((place, "code"), message))
            elif section_mark(new) not in {row.seen, section_mark(old)}:
                if section_mark(old) != row.seen:
                    message = "Somebody changed this section meanwhile: load it anew."
                    problems.append(Problem((place, "code"), message))
                changed.append((old, new))
        problems += _taken_codes(rows, sections, known.values())
        if problems:
            raise NotAdmitted(problems)
        store_sections(course, made)
        n_grades = _change(changed, actor, now)
    return KeptSections(len(made), len(changed), n_grades)


def _taken_codes(
    rows: Sequence[tuple[str, TypedSection]],
    sections: Sequence[SectionTimes],
    known: Iterable[Section],
) -> list[Problem]:
    """Name codes that belong to a section which the table does not hold."""
    in_table = {row.section_id for _, row in rows}
    others = {one.code for one in known if one.pk not in in_table}
    return [
        Problem((place, "code"), f"There is a section {new.code} already.")
        for (place, _), new in zip(rows, sections, strict=True)
        if new.code in others
    ]


def store_sections(course: Course, planned: Iterable[SectionTimes]) -> list[Section]:
    """Write new sections with their times; one query."""
    return Section.objects.bulk_create(
        Section(
            course=course,
            code=one.code,
            title=one.title,
            opens_at=one.opens_at,
            due_at=one.due_at,
            closes_at=one.closes_at,
        )
        for one in planned
    )


def _change(
    changed: Sequence[tuple[Section, SectionTimes]], actor: Actor, now: datetime
) -> int:
    # Two sections may exchange their codes, which no order of updates would allow.
    for section, _ in changed:
        Section.objects.filter(pk=section.pk).update(code=f"\x7f{section.pk}")
    moved = []
    for section, new in changed:
        if section.due_at != new.due_at:
            moved.append(section.pk)
        Section.objects.filter(pk=section.pk).update(
            code=new.code,
            title=new.title,
            opens_at=new.opens_at,
            due_at=new.due_at,
            closes_at=new.closes_at,
        )
        _mark_late(section, new.due_at)
    groups = sorted(
        Group.objects.filter(section__in=moved).values_list("pk", flat=True)
    )
    return sum(
        refresh_grades(
            Group.objects.filter(pk__in=groups[start : start + _GROUPS_AT_ONCE]),
            why="another due time",
            now=now,
            by_id=actor.user_id,
            by_name=actor.name,
        )
        for start in range(0, len(groups), _GROUPS_AT_ONCE)
    )


def _mark_late(section: Section, due_at: datetime | None) -> None:
    received = Submission.objects.filter(group__section=section)
    late = received.filter(received_at__gt=due_at) if due_at else received.none()
    late.filter(is_late=False).update(is_late=True)
    in_time = received.filter(received_at__lte=due_at) if due_at else received
    in_time.filter(is_late=True).update(is_late=False)


def make_groups(
    course_code: str, section_ids: Iterable[int], *, n: int, actor: Actor
) -> int:
    """Make groups 1 to n in those of the sections that have none; return how many.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        The number is none, or every section named has groups.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        problems = _groups_problem(n, least=1)
        bare = list(course.sections.filter(pk__in=section_ids, groups__isnull=True))
        if not bare:
            message = "Choose sections that have no groups yet."
            problems.append(Problem(("sections",), message))
        if problems:
            raise NotAdmitted(problems)
        return _make_groups(bare, n)


def _make_groups(sections: Iterable[Section], n: int) -> int:
    groups = Group.objects.bulk_create(
        Group(section=section, code=str(place), place=place)
        for section in sections
        for place in range(1, n + 1)
    )
    return len(groups)


def _groups_problem(n: int, *, least: int) -> list[Problem]:
    if least <= n <= MOST_GROUPS:
        return []
    return [Problem(("groups",), f"Give {least} to {MOST_GROUPS} groups.")]


def remove_section(course_code: str, section_id: int, *, actor: Actor) -> str:
    """Take a section away that holds nothing yet; return its code.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such section.
    NotAdmitted
        Something would be lost with it.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        # Locked as those who send readings lock them: nothing can come in between.
        list(Group.objects.select_for_update().filter(section_id=section_id))
        found = next(
            (one for one in sections_of(course) if one.section_id == section_id), None
        )
        if found is None:
            message = "There is no such section in this course."
            raise NotFound(message)
        if found.holds:
            message = (
                f"Section {found.code} stays: {found.holds} would be lost with it."
            )
            raise NotAdmitted([Problem(("remove",), message)])
        Section.objects.filter(pk=section_id).delete()
    return found.code
