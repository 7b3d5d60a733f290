"""Submitting and recomputing, each beside the least that the same rows cost.

The bare view checks the same body with the same serializer and inserts the same
rows in one transaction; the floor of a recompute reads the same readings and writes
as many answers and findings. Both run in turn with ours, in one process.
"""

import json
import statistics
import time

from rest_framework.test import APIClient, APIRequestFactory

GROUPS = 300
ROUNDS = 5
STORED = (1_000, 10_000)
PERCENTILES = (50, 95, 99)


def report():
    """Measure, and yield what was found line by line."""
    yield "\nSubmitting by the API, SQLite in memory, one thread"
    yield from submitting()
    yield "\nRecomputing stored submissions, beside reading and writing as many rows"
    yield from recomputing()


def submitting():
    from tests.api.bodies import body  # noqa: PLC0415 - Django must be set up first

    course, station, groups, tokens = signed_in_groups()
    text = json.dumps(body())
    # A group of its own: whose revisions are numbered, nobody else numbers.
    bare = bare_view(course, station, groups[-1])
    client, factory = APIClient(), APIRequestFactory()

    def ours(number):
        answer = client.post(
            "/api/v1/submissions",
            text,
            content_type="application/json",
            headers={
                "Authorization": f"Bearer {tokens[number % GROUPS]}",
                "Idempotency-Key": f"key-{number}",
            },
        )
        assert answer.status_code == 201, answer.content

    def theirs(number):
        request = factory.post("/", text, content_type="application/json")
        answer = bare(request, number=number)
        assert answer.status_code == 201, answer.data

    for number in range(20):
        ours(number)
        theirs(number)
    spent = {"ours": [], "bare": []}
    for number in range(20, 20 + GROUPS * ROUNDS):
        for name, send in (("ours", ours), ("bare", theirs)):
            started = time.process_time()
            send(number)
            spent[name].append(time.process_time() - started)
    for name, times in spent.items():
        cuts = statistics.quantiles(times, n=100)
        told = ", ".join(f"p{p} {1e3 * cuts[p - 1]:.1f} ms" for p in PERCENTILES)
        yield f"{name:5s} {1 / statistics.mean(times):6.0f} a second; {told}"
    ratio = statistics.median(spent["bare"]) / statistics.median(spent["ours"])
    yield f"share of the bare view's throughput, by medians: {ratio:.2f}"


def signed_in_groups():
    """A course with its groups, each with a token."""
    from api.authentication import group_token  # noqa: PLC0415
    from results.models import Group  # noqa: PLC0415
    from tests.factories import (  # noqa: PLC0415
        NOW,
        make_course,
        make_section,
        make_station,
    )

    course = make_course("RUSH")
    section, station = make_section(course), make_station(course)
    groups = Group.objects.bulk_create(
        Group(
            section=section,
            code=str(number),
            slip_digest=f"{number:064d}",
            slip_issued_at=NOW,
        )
        for number in range(GROUPS + 1)
    )
    from django.utils import timezone  # noqa: PLC0415

    now = timezone.now()
    tokens = [group_token(one.pk, now=now).token for one in groups[:GROUPS]]
    return course, station, groups, tokens


def bare_view(course, station, group):
    """A view that checks the body and inserts the same rows, and does nothing else."""
    from django.db import transaction  # noqa: PLC0415
    from django.utils import timezone  # noqa: PLC0415
    from rest_framework.response import Response  # noqa: PLC0415
    from rest_framework.views import APIView  # noqa: PLC0415

    from api.submitted import SubmissionSentSerializer  # noqa: PLC0415
    from results.models import PendingRecompute, Reading, Submission  # noqa: PLC0415

    protocol = course.protocols.get()

    class Bare(APIView):
        authentication_classes = ()
        permission_classes = ()

        def post(self, request, number):
            sent = SubmissionSentSerializer(data=request.data)
            sent.is_valid(raise_exception=True)
            data, now = sent.validated_data, timezone.now()
            with transaction.atomic():
                submission = Submission.objects.create(
                    group=group,
                    protocol=protocol,
                    station=station,
                    revision=1_000_000 + number,
                    is_current=False,
                    received_at=now,
                    source="api",
                    idempotency_key=f"bare-{number}",
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

    return Bare.as_view()


def recomputing():
    from results.models import Answer, Finding, PendingRecompute  # noqa: PLC0415

    for n in STORED:
        course = stored_submissions(n)
        ours = worked_off(course)
        floor = floor_of(course)
        rows = (
            Answer.objects.filter(submission__group__section__course=course).count(),
            Finding.objects.filter(submission__group__section__course=course).count(),
        )
        assert not PendingRecompute.objects.exists()
        yield (
            f"{n:6,d} submissions: {ours:6.2f} s, floor {floor:6.2f} s, "
            f"{ours / floor:.2f} times; {rows[0]:,} answers, {rows[1]:,} findings"
        )


def stored_submissions(n):
    """A course whose groups have all sent the readings of an invented class."""
    import numpy as np  # noqa: PLC0415

    from results.models import Group, Reading, Submission  # noqa: PLC0415
    from tests.factories import (  # noqa: PLC0415
        NOW,
        make_course,
        make_lot,
        make_section,
        make_station,
        make_vial,
        perfect_readings,
    )

    course = make_course(f"STORED-{n}")
    stations = [make_station(course, code=str(k)) for k in range(40)]
    sections = [make_section(course, code=str(k)) for k in range(max(1, n // 12))]
    vials = [
        make_vial(make_lot(course, code=f"L{k}"), code=f"{n}-{k}") for k in range(8)
    ]
    protocol = course.protocols.get()
    rng = np.random.default_rng(n)
    groups = Group.objects.bulk_create(
        Group(section=sections[k % len(sections)], code=str(k)) for k in range(n)
    )
    submissions = Submission.objects.bulk_create(
        Submission(
            group=group,
            protocol=protocol,
            station=stations[int(rng.integers(len(stations)))],
            vial=vials[int(rng.integers(len(vials)))],
            revision=1,
            received_at=NOW,
            source="table",
            idempotency_key="1",
            content_digest="1",
            scale="percent_T",
            standard_mass_g=0.21,
            unknown_mass_g=0.25,
            own_slope="0.199",
            own_intercept="0.000",
            own_unknown_mg_L="1.20",
            own_iron_percent="12.0",
        )
        for group in groups
    )
    perfect = perfect_readings()
    noise = rng.normal(scale=0.3, size=(n, len(perfect)))
    Reading.objects.bulk_create(
        (
            Reading(
                submission=submission,
                position=position,
                tube=tube,
                value=round(value + off, 1),
            )
            for submission, row in zip(submissions, noise, strict=True)
            for position, ((tube, value), off) in enumerate(
                zip(perfect.items(), row, strict=True), 1
            )
        ),
        batch_size=2_000,
    )
    return course


def worked_off(course):
    """Seconds of processor time for all of a course."""
    from django.utils import timezone  # noqa: PLC0415

    from results import recompute  # noqa: PLC0415
    from results.rosters.recomputing import ask_for_course  # noqa: PLC0415

    ask_for_course(course.code, now=timezone.now(), wake=False)
    started = time.process_time()
    recompute.work_off(clock=timezone.now)
    return time.process_time() - started


def floor_of(course):
    """Seconds to read the same readings, and to write the same rows once more."""
    from django.db import transaction  # noqa: PLC0415

    from results.models import Answer, Finding, Reading, Submission  # noqa: PLC0415

    kept = {"submission__group__section__course": course}
    answers = list(Answer.objects.filter(**kept))
    findings = list(Finding.objects.filter(**kept))
    Answer.objects.filter(**kept).delete()
    Finding.objects.filter(**kept).delete()
    for row in (*answers, *findings):
        row.pk = None
    started = time.process_time()
    list(Submission.objects.filter(group__section__course=course).values_list())
    list(Reading.objects.filter(**kept).values_list())
    with transaction.atomic():
        Answer.objects.bulk_create(answers, batch_size=500)
        Finding.objects.bulk_create(findings, batch_size=500)
    return time.process_time() - started
