"""What a member of staff can open: courses, sections, and one group in detail."""

from dataclasses import dataclass
from datetime import datetime

from results.models import Course, Group, Section, Submission
from results.models.outcomes import state_of
from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.policy.typed import OWN_FIELDS
from results.policy.visits import State
from results.summaries.bench import TypedReading
from results.summaries.section import GroupRow, group_rows


@dataclass(frozen=True, slots=True)
class SectionEntry:
    """One section in a list."""

    section_id: int
    section: str
    title: str
    course: str
    opens_at: datetime | None
    due_at: datetime | None
    closes_at: datetime | None


@dataclass(frozen=True, slots=True)
class CourseEntry:
    """One course in a list, with those of its sections that the viewer may open."""

    course_id: int
    course: str
    title: str
    term: str
    college: str
    is_coordinator: bool
    sections: tuple[SectionEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One submission of a group, as staff see it."""

    submission_id: int
    revision: int
    is_current: bool
    received_at: datetime
    is_late: bool
    source: str
    state: State
    station: str
    vial: str
    scale: str
    standard_mass_g: float
    unknown_mass_g: float
    own: dict[str, str]
    readings: tuple[TypedReading, ...]

    @property
    def has_own(self) -> bool:
        """Whether the group gave any number of its own working."""
        return any(self.own.values())


@dataclass(frozen=True, slots=True)
class GroupDetail:
    """One group in detail: its row of the section, and every revision, newest first."""

    section_id: int
    section: str
    course: str
    row: GroupRow
    revisions: tuple[Revision, ...]
    is_coordinator: bool


def staff_courses(rights: Rights) -> tuple[CourseEntry, ...]:
    """Return the courses and sections that a person may open; two queries."""
    courses = Course.objects.filter(
        pk__in=rights.coordinated | rights.assisting
    ).order_by("code")
    sections: dict[int, list[SectionEntry]] = {course.pk: [] for course in courses}
    for section in (
        Section.objects.filter(course__in=list(sections))
        .select_related("course")
        .order_by("code")
    ):
        if rights.may_see_section(section.pk, section.course_id):
            sections[section.course_id].append(_entry(section))
    return tuple(
        CourseEntry(
            course_id=course.pk,
            course=course.code,
            title=course.title,
            term=course.term,
            college=course.college,
            is_coordinator=rights.may_see_course(course.pk),
            sections=tuple(sections[course.pk]),
        )
        for course in courses
    )


def _entry(section: Section) -> SectionEntry:
    return SectionEntry(
        section_id=section.pk,
        section=section.code,
        title=section.title,
        course=section.course.code,
        opens_at=section.opens_at,
        due_at=section.due_at,
        closes_at=section.closes_at,
    )


def group_detail(group_id: int, *, rights: Rights) -> GroupDetail:
    """Return one group in detail.

    Raises
    ------
    NotFound
        There is no such group, or the viewer has no duty in its section.
    """
    group = Group.objects.select_related("section__course").filter(pk=group_id).first()
    if group is None or not rights.may_see_section(
        group.section_id, group.section.course_id
    ):
        message = "There is no such group in your sections."
        raise NotFound(message)
    course = group.section.course
    open_values = rights.may_see_assigned(
        group.section_id,
        course.pk,
        assistants_see_assigned=course.assistants_see_assigned,
    )
    (row,) = group_rows([group], open_values=open_values)
    submissions = (
        Submission.objects.filter(group=group)
        .select_related("station", "vial", "answer", "pending")
        .prefetch_related("readings")
        .order_by("-revision")
    )
    return GroupDetail(
        section_id=group.section_id,
        section=group.section.code,
        course=course.code,
        row=row,
        revisions=tuple(_revision(submission) for submission in submissions),
        is_coordinator=rights.may_see_course(course.pk),
    )


def _revision(submission: Submission) -> Revision:
    return Revision(
        submission_id=submission.pk,
        revision=submission.revision,
        is_current=submission.is_current,
        received_at=submission.received_at,
        is_late=submission.is_late,
        source=submission.get_source_display(),
        state=state_of(
            getattr(submission, "answer", None), getattr(submission, "pending", None)
        ),
        station=submission.station.code,
        vial=submission.vial.code if submission.vial else "",
        scale=submission.scale,
        standard_mass_g=submission.standard_mass_g,
        unknown_mass_g=submission.unknown_mass_g,
        own={name: getattr(submission, name) for name in OWN_FIELDS},
        readings=tuple(
            TypedReading(r.tube, r.replicate, r.value, r.taken_mL)
            for r in sorted(submission.readings.all(), key=lambda r: r.position)
        ),
    )
