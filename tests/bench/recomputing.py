"""Recomputing stored submissions, beside the least that the same rows cost.

A class has been computed once; all of it is asked for again.  The floor reads the
same submissions and readings and writes as many answers and findings.
"""

import time

import numpy as np
from django.db import connection, transaction
from django.utils import timezone

from results import recompute
from results.models import Answer, Finding, Group, PendingRecompute, Reading, Submission
from results.rosters.recomputing import ask_for_course
from tests.factories import (
    NOW,
    make_course,
    make_lot,
    make_section,
    make_station,
    make_vial,
    perfect_readings,
)

SIZES = (1_000, 10_000, 100_000)


def report(sizes=SIZES):
    """Measure, and yield what was found line by line."""
    yield (
        f"\nRecomputing stored submissions, {connection.vendor}: seconds of this "
        "process's processor (and by the clock)"
    )
    spent = []
    for n in sizes:
        course = stored_submissions(n)
        ask_for_course(course.code, now=timezone.now(), wake=False)
        work_off()
        type_worked_answers(course)
        ask_for_course(course.code, now=timezone.now(), wake=False)
        ours = timed(work_off)
        floor, n_findings = floor_of(course)
        spent.append(ours[0])
        yield (
            f"{n:7,d} submissions: {_told(ours)}, floor {_told(floor)}: "
            f"{ours[0] / floor[0]:.2f} times ({ours[1] / floor[1]:.2f}), "
            f"{n / ours[0]:,.0f} a second; {n_findings:,} findings"
        )
    if len(spent) > 1:
        grown = np.log(spent[-1] / spent[0]) / np.log(sizes[-1] / sizes[0])
        yield f"growth exponent from {sizes[0]:,} to {sizes[-1]:,}: {grown:.2f}"


def timed(action):
    """Seconds of this process's processor, and by the clock."""
    processor, clock = time.process_time(), time.perf_counter()
    action()
    return time.process_time() - processor, time.perf_counter() - clock


def _told(spent):
    return f"{spent[0]:.2f} s ({spent[1]:.2f} s)"


def work_off():
    recompute.work_off(clock=timezone.now)
    assert not PendingRecompute.objects.exists()


def stored_submissions(n):
    """A course whose groups have all sent the readings of an invented class."""

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


def type_worked_answers(course):
    """Have every group report its own working: one in eight misplaces a point."""
    submissions = list(
        Submission.objects.filter(group__section__course=course).select_related(
            "answer"
        )
    )
    for number, one in enumerate(submissions):
        points = {kind: [] for kind in ("standard", "unknown")}
        for point in one.answer.points:
            points[point["kind"]].append((point["mg_L"], point["absorbance"]))
        slope, intercept = np.polyfit(*zip(*points["standard"], strict=True), 1)
        absorbance = np.mean([y for _, y in points["unknown"]])
        unknown_mg_L = (absorbance - intercept) / slope
        percent = unknown_mg_L * one.answer.iron_percent / one.answer.unknown_mg_L
        one.own_slope = f"{slope:.4g}"
        one.own_intercept = f"{intercept:.4f}"
        one.own_unknown_mg_L = f"{unknown_mg_L:.4g}"
        one.own_iron_percent = f"{percent if number % 8 else percent / 10:.4g}"
    Submission.objects.bulk_update(
        submissions,
        ["own_slope", "own_intercept", "own_unknown_mg_L", "own_iron_percent"],
        batch_size=200,
    )


def floor_of(course):
    """Read the same rows, and write the answers and findings once more."""
    kept = {"submission__group__section__course": course}
    answers = list(Answer.objects.filter(**kept))
    findings = list(Finding.objects.filter(**kept))
    Answer.objects.filter(**kept).delete()
    Finding.objects.filter(**kept).delete()
    for row in (*answers, *findings):
        row.pk = None

    def read_and_write():
        list(Submission.objects.filter(group__section__course=course).values_list())
        list(Reading.objects.filter(**kept).values_list())
        with transaction.atomic():
            Answer.objects.bulk_create(answers, batch_size=500)
            Finding.objects.bulk_create(findings, batch_size=500)

    return timed(read_and_write), len(findings)
