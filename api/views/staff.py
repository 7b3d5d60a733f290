"""What staff see: whatever their duties open."""

from rest_framework.request import Request
from rest_framework.response import Response

from api import examples
from api.answers.staff import (
    AnswerRowSerializer,
    AnswersQuerySerializer,
    CourseEntrySerializer,
    CourseSummarySerializer,
    GroupDetailSerializer,
    GroupRowSerializer,
    SectionEntrySerializer,
    SectionSummarySerializer,
)
from api.openapi import operation
from api.views.bases import StaffPages
from results.summaries.answers import answers_table
from results.summaries.course import course_summary
from results.summaries.entries import course_entry, section_entry
from results.summaries.section import section_summary
from results.summaries.staff import group_detail, staff_courses

_TAG = "for staff"


class Courses(StaffPages):
    """Courses in which the person has a duty."""

    serializer_class = CourseEntrySerializer

    @operation(
        _TAG,
        "List courses",
        {200: (CourseEntrySerializer(many=True), "One page.")},
        paged=True,
        name="courses",
        example=examples.COURSE,
        problems=("not-found",),
    )
    def get(self, request: Request) -> Response:  # noqa: ARG002
        """Answer with a page of courses."""
        return self.page_of(staff_courses(self.rights))


class Course(StaffPages):
    """One course."""

    serializer_class = CourseEntrySerializer

    @operation(
        _TAG,
        "See one course",
        {200: (CourseEntrySerializer, "The course and its sections.")},
        name="course",
        example=examples.COURSE,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with a course."""
        entry = course_entry(code, rights=self.rights)
        return Response(CourseEntrySerializer(entry).data)


class CourseSections(StaffPages):
    """Sections of a course."""

    serializer_class = SectionEntrySerializer

    @operation(
        _TAG,
        "List the sections of a course",
        {200: (SectionEntrySerializer(many=True), "One page.")},
        paged=True,
        name="course_sections",
        example=examples.SECTION,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with a page of sections."""
        return self.page_of(course_entry(code, rights=self.rights).sections)


class CourseSummary(StaffPages):
    """A course at one moment."""

    serializer_class = CourseSummarySerializer

    @operation(
        _TAG,
        "Compare the sections of a course",
        {200: (CourseSummarySerializer, "Spreads, slopes, findings.")},
        name="course_summary",
        description="For the course's coordinators.",
        example=examples.COURSE_SUMMARY,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the comparison."""
        summary = course_summary(code, rights=self.rights)
        return Response(CourseSummarySerializer(summary).data)


class Section(StaffPages):
    """One section."""

    serializer_class = SectionEntrySerializer

    @operation(
        _TAG,
        "See one section",
        {200: (SectionEntrySerializer, "The section and its times.")},
        name="section",
        example=examples.SECTION,
        problems=("not-found",),
    )
    def get(self, request: Request, section_id: int) -> Response:  # noqa: ARG002
        """Answer with a section."""
        entry = section_entry(section_id, rights=self.rights)
        return Response(SectionEntrySerializer(entry).data)


class SectionGroups(StaffPages):
    """Groups of a section."""

    serializer_class = GroupRowSerializer

    @operation(
        _TAG,
        "List the groups of a section by urgency of a visit",
        {200: (GroupRowSerializer(many=True), "One page.")},
        paged=True,
        name="section_groups",
        example=examples.GROUP_ROW,
        problems=("not-found",),
    )
    def get(self, request: Request, section_id: int) -> Response:  # noqa: ARG002
        """Answer with a page of groups."""
        return self.page_of(section_summary(section_id, rights=self.rights).groups)


class SectionSummary(StaffPages):
    """A section at one moment."""

    serializer_class = SectionSummarySerializer

    @operation(
        _TAG,
        "See how a section is doing",
        {200: (SectionSummarySerializer, "Spreads, and all groups.")},
        name="section_summary",
        example=examples.SECTION_SUMMARY,
        problems=("not-found",),
    )
    def get(self, request: Request, section_id: int) -> Response:  # noqa: ARG002
        """Answer with the section."""
        summary = section_summary(section_id, rights=self.rights)
        return Response(SectionSummarySerializer(summary).data)


class Group(StaffPages):
    """One group in detail."""

    serializer_class = GroupDetailSerializer

    @operation(
        _TAG,
        "See one group with all its revisions",
        {200: (GroupDetailSerializer, "The group.")},
        name="group",
        example=examples.GROUP_DETAIL,
        problems=("not-found",),
    )
    def get(self, request: Request, group_id: int) -> Response:  # noqa: ARG002
        """Answer with a group."""
        detail = group_detail(group_id, rights=self.rights)
        return Response(GroupDetailSerializer(detail).data)


class Answers(StaffPages):
    """The answers table."""

    serializer_class = AnswerRowSerializer

    @operation(
        _TAG,
        "List the answers to current submissions",
        {200: (AnswerRowSerializer(many=True), "One page.")},
        paged=True,
        name="answers",
        description="Of all sections that the person may see, or of one course or one "
        "section. Lots and recoveries are left empty where assigned values are closed.",
        parameters=(AnswersQuerySerializer,),
        example=examples.ANSWER_ROW,
        problems=("not-found", "not-admitted"),
    )
    def get(self, request: Request) -> Response:
        """Answer with a page of the table."""
        wanted = AnswersQuerySerializer(data=request.query_params)
        wanted.is_valid(raise_exception=True)
        table = answers_table(
            rights=self.rights,
            course=wanted.validated_data["course"],
            section_id=wanted.validated_data["section"],
        )
        return self.page_of(table)
