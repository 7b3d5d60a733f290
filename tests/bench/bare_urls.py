"""A view that checks a submission and inserts its rows, and does nothing else.

It checks with the serializer of the API, and inserts in one transaction; it asks
nobody who they are, nothing about the section, and holds nothing against a protocol.
"""

import secrets
from functools import lru_cache

from django.db import transaction
from django.urls import path
from django.utils import timezone
from rest_framework.response import Response
from rest_framework.views import APIView

from api.submitted import SubmissionSentSerializer
from results.models import Group, PendingRecompute, Reading, Station, Submission

_MOST_REVISIONS = 2**31 - 1


@lru_cache(maxsize=1)
def _rows():
    """The last group, whose revisions nobody else numbers, and what it works with."""
    group = Group.objects.select_related("section__course").latest("pk")
    course = group.section.course
    return group.pk, course.protocols.get().pk, Station.objects.get(course=course).pk


class Bare(APIView):
    authentication_classes = ()
    permission_classes = ()

    def post(self, request):
        sent = SubmissionSentSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        data, now = sent.validated_data, timezone.now()
        group_id, protocol_id, station_id = _rows()
        with transaction.atomic():
            submission = Submission.objects.create(
                group_id=group_id,
                protocol_id=protocol_id,
                station_id=station_id,
                revision=1 + secrets.randbelow(_MOST_REVISIONS),
                is_current=False,
                received_at=now,
                source="api",
                idempotency_key=secrets.token_hex(),
                content_digest="",
                scale="percent_T",
                standard_mass_g=data["standard_mass_g"],
                unknown_mass_g=data["unknown_mass_g"],
            )
            Reading.objects.bulk_create(
                Reading(
                    submission=submission,
                    position=position,
                    tube=one["tube"],
                    value=one["percent_T"],
                )
                for position, one in enumerate(data["readings"], 1)
            )
            PendingRecompute.objects.create(
                submission=submission, reason="submitted", available_at=now
            )
        return Response({"revision": submission.revision}, status=201)


urlpatterns = [path("api/v1/submissions", Bare.as_view())]
