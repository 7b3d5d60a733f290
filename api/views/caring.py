"""Values of lots, stations in service, and a course as a package."""

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from api import comparing_examples as examples
from api.answers.caring import (
    LotValuesSerializer,
    RevaluedSerializer,
    ServiceSentSerializer,
    StationServiceSerializer,
    ValuePreviewSerializer,
    ValueSentSerializer,
)
from api.openapi import file_operation, operation
from api.permissions import actor_of
from api.renderers import ZipRenderer
from api.sent import checked
from api.views.bases import StaffView
from results import grading
from results.exports import course_package
from results.policy.access import Rights
from results.policy.values import read_new_value
from results.rosters import note_station
from results.summaries.course import check_coordinated
from results.summaries.station_notes import station_service
from results.summaries.value_preview import lot_history, value_preview

_TAG = "for staff"
_FOR = "For the course's coordinators."


class LotValues(StaffView):
    """The values of one lot."""

    @operation(
        _TAG,
        "See all values of a lot",
        {200: (LotValuesSerializer, "The newest first.")},
        name="lot_values",
        description=_FOR,
        example=examples.LOT_VALUES,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str, lot_id: int) -> Response:  # noqa: ARG002
        """Answer with the values."""
        history = lot_history(code, lot_id, rights=self.rights)
        return Response(LotValuesSerializer(history).data)

    @operation(
        _TAG,
        "See who would change by another value of a lot, or assign it",
        {
            200: (ValuePreviewSerializer, "Sent without seen: nothing is stored."),
            201: (RevaluedSerializer, "Assigned."),
        },
        name="revalue_lot",
        description=f"{_FOR} Former values are kept. Draft grades follow; for others "
        "the change waits as a proposal.",
        sends=ValueSentSerializer,
        sent_example=examples.VALUE_SENT,
        example=examples.VALUE_PREVIEW,
        problems=("not-found", "not-admitted", "malformed", "refused"),
    )
    def post(self, request: Request, code: str, lot_id: int) -> Response:
        """Answer with the preview, or assign the value."""
        actor = actor_of(request)
        check_coordinated(code, rights=actor.rights)
        sent = checked(ValueSentSerializer, request.data)
        zone = timezone.get_current_timezone()
        value = read_new_value(lot_id, sent, zone=zone)
        if not sent["seen"]:
            preview = value_preview(code, value, rights=actor.rights)
            return Response(ValuePreviewSerializer(preview).data)
        done = grading.revalue_lot(
            code,
            value,
            reason=sent["reason"],
            seen=sent["seen"],
            actor=actor,
            now=timezone.now(),
        )
        return Response(RevaluedSerializer(done).data, status=201)


class StationServiceView(StaffView):
    """Whether one station is in service."""

    @operation(
        _TAG,
        "See what was decided about a station",
        {200: (StationServiceSerializer, "The newest first.")},
        name="station_service",
        description=_FOR,
        example=examples.STATION_SERVICE,
        problems=("not-found",),
    )
    def get(self, request: Request, code: str, station_id: int) -> Response:  # noqa: ARG002
        """Answer with the history."""
        return self._answer(self.rights, code, station_id)

    @operation(
        _TAG,
        "Take a station out of service, or put it back",
        {200: (StationServiceSerializer, "As it is now.")},
        name="note_station",
        description=f"{_FOR} Out of service only with a note.",
        sends=ServiceSentSerializer,
        sent_example={"in_service": False, "note": "lamp flickers"},
        example=examples.STATION_SERVICE,
        problems=("not-found", "not-admitted", "malformed"),
    )
    def post(self, request: Request, code: str, station_id: int) -> Response:
        """Note it and answer with the history."""
        actor = actor_of(request)
        check_coordinated(code, rights=actor.rights)
        sent = checked(ServiceSentSerializer, request.data)
        note_station(code, station_id, **sent, actor=actor, now=timezone.now())
        return self._answer(actor.rights, code, station_id)

    def _answer(self, rights: Rights, code: str, station_id: int) -> Response:
        found = station_service(code, station_id, rights=rights)
        return Response(StationServiceSerializer(found).data)


class Package(StaffView):
    """A course as a Data Package."""

    renderer_classes = (ZipRenderer,)

    @file_operation(
        "Take a course as a Data Package, without names unless asked",
        name="course_package",
        media_type=ZipRenderer.media_type,
        example="(an archive with datapackage.json and tables as CSV)",
        parameters=[
            OpenApiParameter("names", str, enum=["yes"], description="With names.")
        ],
    )
    def get(self, request: Request, code: str) -> Response:
        """Answer with the archive."""
        check_coordinated(code, rights=self.rights)
        names = request.query_params.get("names") == "yes"
        return Response(course_package(code, names=names, now=timezone.now()))
