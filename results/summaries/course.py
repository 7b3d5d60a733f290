"""A course as its coordinator sees it: sections side by side, one cloud of slopes."""

from dataclasses import dataclass

from results.models import Section
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.findings.patterns import is_no_slip
from results.policy.visits import State
from results.summaries.course_rows import CourseRow, course_rows
from results.summaries.slips import (
    Conversation,
    FindingCount,
    SharedSlip,
    conversations,
    count_findings,
    shared_slips,
)
from results.summaries.spread import Spread, spread_of
from results.summaries.work import ParkedWork, parked_of


@dataclass(frozen=True, slots=True)
class SectionLine:
    """One section in the comparison.

    Attributes
    ----------
    recovery : Spread or None
        Spread of its groups' recoveries.
    recoveries : tuple of float
        The recoveries themselves, for a picture.
    """

    section_id: int
    section: str
    title: str
    n_groups: int
    n_submitted: int
    n_computed: int
    n_waiting: int
    n_to_visit: int
    recovery: Spread | None
    recoveries: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SlopePoint:
    """One group in the cloud of slopes; slope in L/mg."""

    group_id: int
    group: str
    section: str
    station: str
    slope: float
    intercept: float


@dataclass(frozen=True, slots=True)
class RecoveryPoint:
    """One group's recovery: its iron content found over that assigned."""

    group_id: int
    group: str
    section: str
    ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseSummary:
    """A course at one moment."""

    course_id: int
    course: str
    title: str
    term: str
    college: str
    sections: tuple[SectionLine, ...]
    slopes: tuple[SlopePoint, ...]
    recoveries: tuple[RecoveryPoint, ...]
    slope: Spread | None
    recovery: Spread | None
    findings: tuple[FindingCount, ...]
    parked: tuple[ParkedWork, ...]
    shared_slips: tuple[SharedSlip, ...] = ()
    conversations: tuple[Conversation, ...] = ()

    @property
    def at_the_bench(self) -> tuple[FindingCount, ...]:
        """Slips at the bench by number of groups."""
        return tuple(
            one
            for one in self.findings
            if not one.is_worked and not is_no_slip(one.code)
        )

    @property
    def on_paper(self) -> tuple[FindingCount, ...]:
        """Slips in worked answers by number of groups."""
        return tuple(one for one in self.findings if one.is_worked)

    @property
    def n_groups(self) -> int:
        """Number of groups of the course."""
        return sum(line.n_groups for line in self.sections)

    @property
    def n_submitted(self) -> int:
        """Number of groups from which something was received."""
        return sum(line.n_submitted for line in self.sections)

    @property
    def n_waiting(self) -> int:
        """Number of groups whose answer is still to come."""
        return sum(line.n_waiting for line in self.sections)


def course_summary(course_code: str, *, rights: Rights) -> CourseSummary:
    """Return a course; the same number of queries however many sections.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    sections = list(Section.objects.filter(course=course).order_by("code"))
    codes = {section.pk: section.code for section in sections}
    rows = course_rows(course.pk)
    by_section: dict[int, list[CourseRow]] = {section.pk: [] for section in sections}
    for row in rows:
        by_section[row.section_id].append(row)
    recoveries = [(row, row.recovery) for row in rows if row.recovery is not None]
    return CourseSummary(
        course_id=course.pk,
        course=course.code,
        title=course.title,
        term=course.term,
        college=course.college,
        sections=tuple(_line(section, by_section[section.pk]) for section in sections),
        slopes=tuple(
            SlopePoint(
                row.group_id,
                row.group,
                codes[row.section_id],
                row.station,
                row.slope,
                row.intercept,
            )
            for row in rows
            if row.slope is not None and row.intercept is not None
        ),
        recoveries=tuple(
            RecoveryPoint(row.group_id, row.group, codes[row.section_id], ratio)
            for row, ratio in recoveries
        ),
        slope=spread_of(row.slope for row in rows if row.slope is not None),
        recovery=spread_of(ratio for _, ratio in recoveries),
        findings=count_findings(rows),
        shared_slips=shared_slips(by_section, codes),
        conversations=conversations(by_section, codes),
        parked=parked_of(course.pk),
    )


def check_coordinated(course_code: str, *, rights: Rights) -> None:
    """Let nobody by who does not coordinate a course.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    coordinated_course(course_code, rights=rights)


def _line(section: Section, rows: list[CourseRow]) -> SectionLine:
    recoveries = tuple(row.recovery for row in rows if row.recovery is not None)
    return SectionLine(
        section_id=section.pk,
        section=section.code,
        title=section.title,
        n_groups=len(rows),
        n_submitted=sum(row.state is not State.NOT_SENT for row in rows),
        n_computed=sum(row.state is State.COMPUTED for row in rows),
        n_waiting=sum(row.state is State.WAITING for row in rows),
        n_to_visit=sum(row.urgency > 1 for row in rows),
        recovery=spread_of(recoveries),
        recoveries=recoveries,
    )
