"""A course of ten thousand groups in a database: fitting and reading its effects."""

import time
from datetime import timedelta

import numpy as np
from django.test import Client
from django.urls import reverse

from results import recompute
from results.models import Answer, Finding, Group, Section, Station, Submission
from results.policy.access import Rights
from results.summaries import course as whole
from results.summaries import effects, frequencies
from tests.exam.crossed import Fault, Layout, draw_class
from tests.factories import NOW, make_course, make_lot, make_staff, make_vial

LAYOUT = Layout(sections=834, per_section=12, stations=300, rooms=10, lots=24)
FIRST_COLOUR, MG_L = 0.1988, (0.3, 0.6, 1.2, 1.8, 3.0)


def report():
    """Measure, and yield what was found line by line."""
    course, rights = stored_course()
    yield f"\nA course of {LAYOUT.sections * LAYOUT.per_section:,} groups, SQLite"

    start = time.process_time()
    recompute.refresh_effects(now=NOW, course_id=course.pk)
    yield f"fitted and stored in {time.process_time() - start:.2f} s"
    summaries = {
        "course": whole.course_summary,
        "course_effects": effects.course_effects,
        "stations": effects.stations_summary,
        "sections": effects.sections_summary,
        "lots": lambda code, rights: effects.lots_summary(code, rights=rights, now=NOW),
        "slope cloud": effects.slope_cloud,
        "slip frequencies": frequencies.slip_frequencies,
    }
    for name, summary in summaries.items():
        times = []
        for _ in range(5):
            start = time.process_time()
            summary(course.code, rights=rights)
            times.append(time.process_time() - start)
        yield f"{name:20s} {1e3 * min(times):6.0f} ms"
    yield from _pages(course)


def _pages(course):
    """Time what the server does for a page, from the request to its bytes."""
    client = Client()
    client.force_login(make_staff("ada", role="coordinator", course=course))
    pages = {
        "page of a section": reverse("section", args=[course.sections.first().pk]),
        "page of the course": reverse("course", args=[course.code]),
        "background work": reverse("course-work", args=[course.code]),
    }
    for name, address in pages.items():
        times = []
        for _ in range(5):
            start = time.process_time()
            answer = client.get(address)
            times.append(time.process_time() - start)
            assert answer.status_code == 200, name
        yield f"{name:20s} {1e3 * min(times):6.0f} ms, {len(answer.content):,} bytes"


def stored_course():
    """Write the course straight into the database, with answers as if computed."""

    drawn = draw_class(
        np.random.default_rng(1), fault=Fault("station", 0.05), layout=LAYOUT
    )
    course = make_course()
    protocol = course.protocols.get()
    sections = Section.objects.bulk_create(
        Section(course=course, code=f"A{k}") for k in range(LAYOUT.sections)
    )
    stations = Station.objects.bulk_create(
        Station(course=course, code=f"S{k}") for k in range(LAYOUT.stations)
    )
    vials = [
        make_vial(make_lot(course, code=f"L{k}"), code=str(k))
        for k in range(LAYOUT.lots)
    ]
    groups = Group.objects.bulk_create(
        Group(section=sections[section], code=str(row))
        for row, section in enumerate(drawn.labels["section"].tolist())
    )
    submissions = Submission.objects.bulk_create(
        Submission(
            group=group,
            protocol=protocol,
            station=stations[station],
            vial=vials[lot],
            revision=1,
            received_at=NOW + timedelta(weeks=group.section_id % 6),
            source="table",
            idempotency_key="1",
            content_digest="1",
            scale="percent_T",
            standard_mass_g=0.21,
            unknown_mass_g=0.25,
        )
        for group, station, lot in zip(
            groups,
            drawn.labels["station"].tolist(),
            drawn.labels["lot"].tolist(),
            strict=True,
        )
    )
    Answer.objects.bulk_create(
        answer(submission, y)
        for submission, y in zip(submissions, drawn.y.tolist(), strict=True)
    )
    Finding.objects.bulk_create(
        Finding(
            submission=submission,
            audience=audience,
            code="worked_natural_log",
            probability=0.9,
        )
        for submission in submissions[::3]
        for audience in ("group", "staff")
    )
    return course, Rights(coordinated=frozenset({course.pk}))


def answer(submission, y):
    """An answer whose line and iron content are off by one factor."""

    slope = FIRST_COLOUR * float(np.exp(y))
    return Answer(
        submission=submission,
        computed_at=NOW,
        method="bench",
        n_standards=5,
        n_unknowns=2,
        slope=slope,
        intercept=0.0,
        iron_percent=12 * float(np.exp(-y)),
        points=[
            {"tube": str(k), "kind": "standard", "mg_L": x, "absorbance": slope * x}
            for k, x in enumerate(MG_L)
        ],
    )
