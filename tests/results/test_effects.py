"""What is wrong with a course: stored in the background, read with few queries."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from results import recompute
from results.policy.access import Rights
from results.policy.claims import Response
from results.policy.refusals import NotFound
from results.summaries.effects import (
    contrast,
    course_effects,
    lots_summary,
    sections_summary,
    slope_cloud,
    stations_summary,
)
from results.summaries.frequencies import slip_frequencies
from tests.compared import STATIONS, compared_course, coordinator
from tests.factories import (
    NOW,
    make_group,
    make_section,
    raw_submission,
    submit,
)

pytestmark = pytest.mark.django_db


CODE = "IRON-1"


def in_two_rooms(number):
    half = STATIONS // 2
    return [f"S{k}" for k in (range(half) if number % 2 else range(half, STATIONS))] * 2


def counted(call):
    with CaptureQueriesContext(connection) as queries:
        call()
    return len(queries)


def test_station_that_reads_high_is_named_with_size_n_and_consequence():
    course = compared_course(gain={"S3": 1.08})

    first, *others = stations_summary(CODE, rights=coordinator(course)).stations

    assert first.station == "S3"
    assert first.slope.verdict == "differs"
    assert first.slope.low < 8 < first.slope.high
    assert first.slope.sentence.startswith("Station S3 reads 8.")
    assert "above the other 7 after allowing for sections (6 groups)" in (
        first.slope.sentence
    )
    assert first.slope.sentence.endswith("answers are not affected.")
    assert "wavelength" in first.slope.could_be[0]
    assert not any(one.sentences for one in others)


def test_lot_with_a_wrong_key_is_proposed_for_a_new_assay():
    course = compared_course(content={"L1": 0.9})

    first, *others = lots_summary(CODE, rights=coordinator(course), now=NOW).lots

    assert first.lot == "L1"
    assert first.found_percent == pytest.approx(0.9 * first.assigned_percent, rel=0.02)
    assert first.u_found_percent < 0.2
    assert first.zeta < -3
    assert first.proposals[0].startswith("Assay lot L1 again: assigned 12.00 ± 0.08 %")
    assert not any(one.proposals for one in others)


def test_gain_of_a_station_is_no_matter_for_answers():
    course = compared_course(gain={"S3": 1.08})

    effects = course_effects(CODE, rights=coordinator(course))

    assert {line.verdict for line in effects.table("recovery", "station").lines} == {
        "like_the_others"
    }


def test_class_without_a_fault_claims_nothing():
    course = compared_course()

    assert course_effects(CODE, rights=coordinator(course)).claims == ()


def test_sections_stand_side_by_side_with_spread_and_map():
    course = compared_course()

    summary = sections_summary(CODE, rights=coordinator(course))

    assert [one.section for one in summary.sections] == [f"A{k}" for k in range(6)]
    one = summary.sections[0]
    assert one.errors.n == one.recovery.n == 8
    assert one.errors.p10 <= one.errors.p50 <= one.errors.p90
    assert one.recovery.median_low < one.recovery.median < one.recovery.median_high
    assert abs(one.consistency.h) < one.consistency.h_limit
    assert 0 < one.consistency.k < one.consistency.k_limit
    assert len(summary.cells) == 48
    assert {cell.n for cell in summary.cells} == {1}


def test_rooms_that_share_no_section_are_not_contrasted():
    course = compared_course(stations_of=in_two_rooms)
    rights = coordinator(course)
    stations = {
        s.station: s.station_id for s in stations_summary(CODE, rights=rights).stations
    }

    across = contrast(
        CODE, Response.SLOPE, "station", stations["S0"], stations["S7"], rights=rights
    )
    within = contrast(
        CODE, Response.SLOPE, "station", stations["S0"], stations["S1"], rights=rights
    )

    assert across.refusal == (
        "Cannot separate station from section: no section worked in both."
    )
    assert within.refusal == ""
    assert within.low < within.effect < within.high
    (refused,) = (
        one
        for one in course_effects(CODE, rights=rights).refused
        if (one.response, one.factor) == ("slope", "station")
    )
    assert refused.sets == (("S0", "S1", "S2", "S3"), ("S4", "S5", "S6", "S7"))


def test_levels_that_were_not_compared_have_no_contrast():
    course = compared_course()

    with pytest.raises(NotFound, match="have not been compared"):
        contrast(CODE, Response.SLOPE, "station", -1, -2, rights=coordinator(course))


def test_course_without_answers_has_empty_summaries():
    course = make_section().course
    rights = coordinator(course)

    assert course_effects(CODE, rights=rights).fitted_at is None
    assert stations_summary(CODE, rights=rights).stations == ()
    assert lots_summary(CODE, rights=rights, now=NOW).lots == ()
    assert sections_summary(CODE, rights=rights).sections[0].recovery is None
    assert slope_cloud(CODE, rights=rights).points == ()


@pytest.mark.parametrize(
    "summary",
    [
        course_effects,
        stations_summary,
        sections_summary,
        slope_cloud,
        slip_frequencies,
        lambda code, rights: lots_summary(code, rights=rights, now=NOW),
    ],
)
def test_effects_are_for_coordinators_only(summary):
    make_section()

    with pytest.raises(NotFound):
        summary(CODE, rights=Rights())


def test_number_of_queries_does_not_grow_with_the_class():
    course = compared_course(sections=2)
    rights = coordinator(course)

    def queries():
        # course; stored row; assistants, stations, sections, lots; assigned values
        return [
            counted(lambda: course_effects(CODE, rights=rights)),
            counted(lambda: stations_summary(CODE, rights=rights)),
            counted(lambda: sections_summary(CODE, rights=rights)),
            counted(lambda: lots_summary(CODE, rights=rights, now=NOW)),
            counted(lambda: slope_cloud(CODE, rights=rights)),
            counted(lambda: slip_frequencies(CODE, rights=rights)),
            counted(lambda: recompute.class_rows.class_rows(course.pk)),
        ]

    few = queries()
    section = make_section(course, code="B")
    for number in range(12):
        submit(make_group(section, code=str(number)), raw_submission(station="S1"))
    recompute.work_off(clock=lambda: NOW)
    recompute.refresh_effects(now=NOW + timedelta(minutes=5), course_id=course.pk)

    assert few == [6, 6, 6, 7, 2, 4, 4]
    assert queries() == few
