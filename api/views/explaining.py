"""How one answer came about, and what all answers of a course rest on."""

from rest_framework.request import Request
from rest_framework.response import Response

from api import explained_examples as examples
from api.answers.explaining import (
    ComputationCheckSerializer,
    ComputationSerializer,
    CourseTolerancesSerializer,
)
from api.openapi import operation
from api.views.bases import StaffView
from results.explaining import check_answer, explain_answer, tolerances_of_course

_TAG = "for staff"


class Computation(StaffView):
    """One answer worked out step by step."""

    @operation(
        _TAG,
        "Follow a group's answer step by step",
        {200: (ComputationSerializer, "Steps, budget, limits and tests.")},
        name="computation",
        example=examples.COMPUTATION,
        problems=("not-found",),
    )
    def get(self, request: Request, group_id: int) -> Response:  # noqa: ARG002
        """Answer with the computation."""
        explanation = explain_answer(group_id, rights=self.rights)
        return Response(ComputationSerializer(explanation).data)


class ComputationCheck(StaffView):
    """One interval, checked by drawing."""

    @operation(
        _TAG,
        "Check a group's interval by drawing 100 000 times",
        {200: (ComputationCheckSerializer, "The draws, and whether they agree.")},
        name="computation_check",
        description="Takes a second or two. The same submission is drawn alike each "
        "time.",
        example=examples.COMPUTATION_CHECK,
        problems=("not-found",),
    )
    def get(self, request: Request, group_id: int) -> Response:  # noqa: ARG002
        """Answer with what the draws came to."""
        drawn = check_answer(group_id, rights=self.rights)
        return Response(ComputationCheckSerializer(drawn).data)


class CourseTolerances(StaffView):
    """The tolerances in force."""

    @operation(
        _TAG,
        "List the tolerances behind a course's answers",
        {200: (CourseTolerancesSerializer, "Each with where it comes from.")},
        name="course_tolerances",
        example=examples.TOLERANCES,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the tolerances."""
        found = tolerances_of_course(code, rights=self.rights)
        return Response(CourseTolerancesSerializer(found).data)
