"""What is wrong with a course rather than with its students; for coordinators."""

from dataclasses import asdict

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from api import comparing_examples as examples
from api.answers.comparing import (
    ContrastQuerySerializer,
    ContrastsSerializer,
    LotsSerializer,
    ScoresSerializer,
    SectionEffectsSerializer,
    SlipsSerializer,
    SlopesSerializer,
    StationsSerializer,
)
from api.openapi import operation
from api.sent import checked
from api.views.bases import StaffView
from results.policy import claims
from results.summaries.effects import (
    contrast,
    course_effects,
    lots_summary,
    sections_summary,
    slope_cloud,
    stations_summary,
)
from results.summaries.frequencies import slip_frequencies
from results.summaries.scores import course_scores

_TAG = "for staff"
_FOR = "For the course's coordinators."


class Stations(StaffView):
    """Stations of a course."""

    @operation(
        _TAG,
        "Compare the stations of a course",
        {200: (StationsSerializer, "Effects, history and blanks.")},
        name="course_stations",
        description=_FOR,
        example=examples.STATIONS,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the stations."""
        found = stations_summary(code, rights=self.rights)
        return Response(StationsSerializer(found).data)


class Lots(StaffView):
    """Lots of a course."""

    @operation(
        _TAG,
        "Compare the lots of a course with their assigned values",
        {200: (LotsSerializer, "Assigned and found values, and proposals.")},
        name="course_lots",
        description=_FOR,
        example=examples.LOTS,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the lots."""
        found = lots_summary(code, rights=self.rights, now=timezone.now())
        return Response(LotsSerializer(found).data)


class Sections(StaffView):
    """Sections of a course, with effects."""

    @operation(
        _TAG,
        "Compare the sections of a course, allowing for stations and lots",
        {200: (SectionEffectsSerializer, "Effects, consistency, and the map.")},
        name="course_section_effects",
        description=_FOR,
        example=examples.SECTIONS,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the sections."""
        found = sections_summary(code, rights=self.rights)
        return Response(SectionEffectsSerializer(found).data)


class Slopes(StaffView):
    """The cloud of slopes."""

    @operation(
        _TAG,
        "List the slopes and intercepts of a course",
        {200: (SlopesSerializer, "Every line, and where nearly all lie.")},
        name="course_slopes",
        description=_FOR,
        example=examples.SLOPES,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the cloud."""
        found = slope_cloud(code, rights=self.rights)
        return Response(SlopesSerializer(found).data)


class Slips(StaffView):
    """Slips by frequency."""

    @operation(
        _TAG,
        "Count the findings of a course",
        {200: (SlipsSerializer, "By frequency, and what sections share.")},
        name="course_slips",
        description=_FOR,
        example=examples.SLIPS,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the counts."""
        found = slip_frequencies(code, rights=self.rights)
        return Response(SlipsSerializer(found).data)


class Scores(StaffView):
    """Scores of sections and groups."""

    @operation(
        _TAG,
        "Score groups and sections against assigned values",
        {200: (ScoresSerializer, "z' and zeta (ISO 13528).")},
        name="course_scores",
        description=f"{_FOR} The measure is the class's own robust spread.",
        example=examples.SCORES,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str) -> Response:  # noqa: ARG002
        """Answer with the scores."""
        found = course_scores(code, rights=self.rights)
        return Response(ScoresSerializer(found).data)


class Contrasts(StaffView):
    """Two levels compared, or why they cannot be."""

    @operation(
        _TAG,
        "Compare two stations, sections or lots",
        {200: (ContrastsSerializer, "Also where the answer is “cannot tell”.")},
        name="course_contrasts",
        description=f"{_FOR} Without a question, what cannot be compared at all.",
        parameters=[
            OpenApiParameter("response", str, enum=[*claims.Response]),
            OpenApiParameter("factor", str, enum=["station", "section", "lot"]),
            OpenApiParameter("first", int, description="Number of one level."),
            OpenApiParameter("second", int, description="And of the other."),
        ],
        example=examples.CONTRASTS,
        problems=("not-found", "not-admitted"),
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer with the contrast and what cannot be told."""
        rights = self.rights
        effects = course_effects(code, rights=rights)
        asked = checked(ContrastQuerySerializer, request.query_params.dict())
        found = None
        if asked:
            shown = contrast(
                code,
                claims.Response(asked["response"]),
                asked["factor"],
                asked["first"],
                asked["second"],
                rights=rights,
            )
            found = {
                **asdict(shown),
                "code": "cannot_separate" if shown.refusal else "compared",
                "sentence": shown.refusal,
            }
        refused = [{**asdict(o), "code": "cannot_separate"} for o in effects.refused]
        answer = {"course": effects.course, "refused": refused, "contrast": found}
        return Response(ContrastsSerializer(answer).data)
