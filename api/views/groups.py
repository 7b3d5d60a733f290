"""What groups send and see."""

from typing import Any

from django.urls import reverse
from django.utils import timezone
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api import examples
from api.answers.groups import (
    BenchSheetSerializer,
    OwnSubmissionSerializer,
    ReceiptSerializer,
    ResultSerializer,
)
from api.openapi import IDEMPOTENCY_KEY, operation
from api.parsers import ShallowJSONParser
from api.permissions import ForGroups, group_id_of
from api.submitted import (
    SubmissionSentSerializer,
    idempotency_key,
    pointing_into,
    read_submission,
)
from results.intake import Accepted, accept_submission
from results.policy.refusals import NoProtocol
from results.policy.visits import State
from results.summaries.bench import bench_sheet
from results.summaries.group import group_label, own_result, own_submissions

_TAG = "for groups"
# One for all receipts: its fields are copied once.
_RECEIPTS = ReceiptSerializer()


class BenchSheet(APIView):
    """A group's bench sheet."""

    permission_classes = (ForGroups,)

    @operation(
        _TAG,
        "See the bench sheet",
        {200: (BenchSheetSerializer, "What to prepare, to read and to type.")},
        name="bench_sheet",
        example=examples.BENCH_SHEET,
        problems=("no-protocol",),
    )
    def get(self, request: Request) -> Response:
        """Answer with the bench sheet."""
        group_id = group_id_of(request)
        sheet = bench_sheet(group_id, now=timezone.now())
        if sheet is None:
            label = group_label(group_id)
            raise NoProtocol(label.course if label else "")
        return Response(BenchSheetSerializer(sheet).data)


class Submissions(GenericAPIView[Any]):
    """A group's submissions."""

    permission_classes = (ForGroups,)
    parser_classes = (ShallowJSONParser,)
    # Lists name their serializer for the pages to be described.
    serializer_class = OwnSubmissionSerializer

    @operation(
        _TAG,
        "List the group's submissions, newest first",
        {200: (OwnSubmissionSerializer(many=True), "One page.")},
        paged=True,
        name="own_submissions",
        example=examples.OWN_SUBMISSION,
        problems=("not-found",),
    )
    def get(self, request: Request) -> Response:
        """Answer with a page of submissions."""
        rows: Any = own_submissions(group_id_of(request))
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(
            OwnSubmissionSerializer(page, many=True).data
        )

    @operation(
        _TAG,
        "Send readings",
        {
            201: (ReceiptSerializer, "Stored; Location leads to the result."),
            200: (ReceiptSerializer, "Stored before under this key; nothing changed."),
        },
        name="submit",
        description="Numbers may be JSON numbers, or strings with a decimal comma or "
        "point; strings keep the digits of worked answers. The readings become the "
        "group's next revision and are computed within seconds.",
        parameters=(IDEMPOTENCY_KEY,),
        sends=SubmissionSentSerializer,
        sent_example=examples.SUBMISSION,
        example=examples.RECEIPT,
        problems=(
            "malformed",
            "idempotency-key-missing",
            "idempotency-key-reused",
            "section-not-open",
            "section-closed",
            "no-protocol",
            "body-too-large",
            "unsupported-media-type",
            "not-admitted",
        ),
    )
    def post(self, request: Request) -> Response:
        """Store one submission."""
        key, raw = idempotency_key(request), read_submission(request.data)
        with pointing_into(raw):
            accepted = accept_submission(
                group_id=group_id_of(request),
                raw=raw,
                source="api",
                idempotency_key=key,
                received_at=timezone.now(),
            )
        return _receipt(accepted, group_id_of(request))


def _receipt(accepted: Accepted, group_id: int) -> Response:
    if accepted.created:
        receipt = {
            "submission_id": accepted.submission_id,
            "revision": accepted.revision,
            "received_at": accepted.received_at,
            "is_late": accepted.is_late,
            "state": State.WAITING,
        }
        location = reverse("api:submission", args=[accepted.revision])
        return Response(
            _RECEIPTS.to_representation(receipt),
            status=201,
            headers={"Location": location},
        )
    result = own_result(group_id, now=timezone.now(), revision=accepted.revision)
    return Response(ReceiptSerializer(result.submission if result else None).data)


class OwnResult(APIView):
    """One of a group's results."""

    permission_classes = (ForGroups,)

    @operation(
        _TAG,
        "See the result of one submission",
        {200: (ResultSerializer, "The result, as far as it is there and open.")},
        name="own_result",
        description="While state is waiting, ask again after a second or two. The "
        "recomputed iron content is shown when the course's policy says so.",
        example=examples.RESULT,
        problems=("not-found",),
    )
    def get(self, request: Request, revision: int) -> Response:
        """Answer with the result."""
        result = own_result(group_id_of(request), now=timezone.now(), revision=revision)
        return Response(ResultSerializer(result).data)
