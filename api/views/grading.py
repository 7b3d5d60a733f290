"""Grades: a section's for staff, a group's own once it is released."""

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api import grading_examples as examples
from api.answers.grading import (
    GradeHistorySerializer,
    GradeSerializer,
    OwnGradeStateSerializer,
)
from api.openapi import operation
from api.permissions import ForGroups, group_id_of
from api.views.bases import StaffPages, StaffView
from results.summaries.grade_history import grade_history
from results.summaries.grading import by_code, grading_board
from results.summaries.own_grade import own_grade


class SectionGrades(StaffPages):
    """Grades of a section."""

    serializer_class = GradeSerializer

    @operation(
        "for staff",
        "List the grades of a section",
        {200: (GradeSerializer(many=True), "One page.")},
        paged=True,
        name="section_grades",
        description="By the code of the group. Reasons name no assigned value where "
        "the course hides it from assistants.",
        example=examples.GRADE,
        problems=("not-found", "no-grading-scheme"),
    )
    def get(self, request: Request, section_id: int) -> Response:  # noqa: ARG002
        """Answer with a page of grades."""
        board = grading_board(section_id, rights=self.rights)
        rows = sorted(board.rows, key=by_code)
        return self.page_of(rows, open_values=board.may_see_assigned)


class GradeHistory(StaffView):
    """The history of one grade."""

    @operation(
        "for staff",
        "See every change of a group's grade",
        {200: (GradeHistorySerializer, "Oldest first.")},
        name="grade_history",
        example=examples.GRADE_HISTORY,
        problems=("not-found",),
    )
    def get(self, request: Request, group_id: int) -> Response:  # noqa: ARG002
        """Answer with the history."""
        history = grade_history(group_id, rights=self.rights)
        return Response(GradeHistorySerializer(history).data)


class OwnGrade(APIView):
    """A group's own grade."""

    permission_classes = (ForGroups,)

    @operation(
        "for groups",
        "See the own grade once it is released",
        {200: (OwnGradeStateSerializer, "The grade, or that there is none yet.")},
        name="own_grade",
        example=examples.OWN_GRADE,
    )
    def get(self, request: Request) -> Response:
        """Answer with the grade, or nothing before its release."""
        grade = own_grade(group_id_of(request), now=timezone.now())
        answer = {"is_released": grade is not None, "grade": grade}
        return Response(OwnGradeStateSerializer(answer).data)
