"""A course in the database whose stations, lots and sections can be compared."""

import numpy as np

from results import recompute
from results.models import Course, Finding
from results.policy.access import Rights
from tests.factories import (
    NOW,
    make_course,
    make_group,
    make_lot,
    make_section,
    make_station,
    make_vial,
    perfect_readings,
    raw_submission,
    submit,
)

SECTIONS, STATIONS, LOTS = 6, 8, 3


def compared_course(
    *, sections=SECTIONS, gain=None, content=None, stations_of=None, at=None, seed=3
):
    """Eight groups a section, each at its own station; lots dealt in turn.

    Parameters
    ----------
    gain : dict, optional
        Factor on all absorbances by station code.
    content : dict, optional
        True over assigned iron content by code of lot or section.
    stations_of : callable, optional
        Codes of the stations of a section, from its number.
    at : callable, optional
        When a section's readings came, from its number.
    """
    rng = np.random.default_rng(seed)
    true = content or {}
    course = Course.objects.filter(code="IRON-1").first() or make_course()
    stations = [f"S{k}" for k in range(STATIONS)]
    for code in stations:
        make_station(course, code=code, place="North laboratory")
    lots = [make_lot(course, code=f"L{k}") for k in range(LOTS)]
    for number in range(sections):
        section = make_section(course, code=f"A{number}")
        here = stations_of(number) if stations_of else stations
        for turn, station in enumerate(here):
            lot = lots[(turn + number) % LOTS]
            group = make_group(section, code=str(turn))
            make_vial(lot, code=f"{number}-{turn}", group=group)
            raw = raw_submission(
                station=station,
                percent_T=_readings(
                    rng,
                    (gain or {}).get(station, 1),
                    true.get(lot.code, 1) * true.get(section.code, 1),
                ),
            )
            submit(group, raw, at=at(number) if at else NOW)
    # What came in later weeks is computed when all of it is there.
    end = at(sections) if at else NOW
    recompute.work_off(clock=lambda: end)
    recompute.refresh_effects(now=NOW, course_id=course.pk)
    return course


def _readings(rng, gain, content):
    own = gain * np.exp(rng.normal(0, 0.006))
    yield_ = content * np.exp(rng.normal(0, 0.004))
    return {
        tube: round(
            100 * (percent_T / 100) ** (own * (yield_ if tube[0] == "U" else 1))
            + rng.normal(0, 0.05),
            2,
        )
        for tube, percent_T in perfect_readings().items()
    }


def coordinator(course):
    """The rights of who coordinates a course, and nothing else."""
    return Rights(coordinated=frozenset({course.pk}))


def share_a_slip(course):
    """Let a whole section take natural logarithms."""
    for group in course.sections.get(code="A0").groups.all():
        submission = group.submissions.get()
        submission.own_iron_percent = "12.0"
        submission.save()
        Finding.objects.create(
            submission=submission,
            audience="staff",
            code="worked_natural_log",
            stage="slope",
            probability=0.9,
        )
