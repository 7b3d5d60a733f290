"""The issue book: who holds which vial, and who held which before.  No lots in it."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from results.models import Course, Group, Issue, Section, Station, Student
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.summaries.preparing.issuing_state import by_code, free_vials


@dataclass(frozen=True, slots=True)
class BookIssue:
    """One vial in the hands of a group; `ended_at` is None while it is there."""

    vial: str
    issued_at: datetime
    ended_at: datetime | None
    reason: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRow:
    """One group; `issues` newest first, the live one among them."""

    group_id: int
    group: str
    section: str
    place: int | None
    students: tuple[str, ...]
    station: str
    issues: tuple[BookIssue, ...]

    @property
    def live(self) -> BookIssue | None:
        """The vial that the group holds."""
        return next((one for one in self.issues if one.ended_at is None), None)

    @property
    def past(self) -> tuple[BookIssue, ...]:
        """Vials that it held before, newest first."""
        return tuple(one for one in self.issues if one.ended_at is not None)


@dataclass(frozen=True, slots=True)
class BookSection:
    """One section, its groups in the order of their places."""

    section_id: int
    section: str
    opens_at: datetime | None
    rows: tuple[BookRow, ...]

    @property
    def n_without(self) -> int:
        """Number of groups without a vial."""
        return sum(row.live is None for row in self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueBook:
    """The book of a course.

    Attributes
    ----------
    n_free : int
        Vials that can still be issued, of `n_lots` lots.
    rooms : tuple of str
        Where stations stand.
    """

    course: str
    title: str
    term: str
    sections: tuple[BookSection, ...]
    n_free: int
    n_lots: int
    rooms: tuple[str, ...]

    @property
    def n_groups(self) -> int:
        """Number of groups."""
        return sum(len(one.rows) for one in self.sections)

    @property
    def n_without(self) -> int:
        """Number of groups without a vial."""
        return sum(one.n_without for one in self.sections)

    @property
    def changed(self) -> tuple[BookRow, ...]:
        """Groups that gave a vial back."""
        return tuple(row for one in self.sections for row in one.rows if row.past)

    def row(self, group_id: int) -> BookRow:
        """Return one group.

        Raises
        ------
        NotFound
            The course has no such group.
        """
        for one in self.sections:
            for row in one.rows:
                if row.group_id == group_id:
                    return row
        message = "There is no such group in this course."
        raise NotFound(message)


def issue_book(course_code: str, *, rights: Rights, now: datetime) -> IssueBook:
    """Return the book; seven queries, however many groups.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    free = Counter(free_vials(course, now=now).values_list("lot_id", flat=True))
    places = Station.objects.filter(course=course).values_list("place", flat=True)
    rooms = {place.partition(",")[0].strip() for place in places}
    sections = Section.objects.filter(course=course)
    rows = _rows(course)
    return IssueBook(
        course=course.code,
        title=course.title,
        term=course.term,
        sections=tuple(
            BookSection(one.pk, one.code, one.opens_at, tuple(rows.get(one.pk, ())))
            for one in sorted(sections, key=lambda one: by_code(one.code))
        ),
        n_free=free.total(),
        n_lots=len(free),
        rooms=tuple(sorted(rooms - {""})),
    )


def _rows(course: Course) -> dict[int, list[BookRow]]:
    students: dict[int | None, list[str]] = {}
    for group, name in (
        Student.objects.filter(course=course, group__isnull=False)
        .order_by("name")
        .values_list("group_id", "name")
    ):
        students.setdefault(group, []).append(name)
    issues: dict[int, list[BookIssue]] = {}
    for group_id, vial, issued_at, ended_at, reason, by_name in (
        Issue.objects.filter(group__section__course=course)
        .order_by("-issued_at", "-pk")
        .values_list(
            "group_id", "vial__code", "issued_at", "ended_at", "reason", "by_name"
        )
    ):
        told = BookIssue(vial, issued_at, ended_at, reason, by_name)
        issues.setdefault(group_id, []).append(told)
    found: dict[int, list[BookRow]] = {}
    groups = Group.objects.filter(section__course=course)
    for one in _in_order(groups.select_related("planned_station", "section")):
        station = one.planned_station
        row = BookRow(
            group_id=one.pk,
            group=one.code,
            section=one.section.code,
            place=one.place,
            students=tuple(students.get(one.pk, ())),
            station=station.code if station else "",
            issues=tuple(issues.get(one.pk, ())),
        )
        found.setdefault(one.section_id, []).append(row)
    return found


def _in_order(groups: Iterable[Group]) -> list[Group]:
    return sorted(
        groups, key=lambda one: (one.place is None, one.place or 0, by_code(one.code))
    )
