"""What is wrong with a course: stored in the background, read with few queries."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext

from results import recompute
from results.models import Duty, Finding, StoredEffects
from results.policy.access import Rights
from results.policy.claims import Response
from results.policy.refusals import NotFound
from results.summaries.effects import (
    contrast,
    course_effects,
    lots_summary,
    sections_summary,
    set_aside_groups,
    slope_cloud,
    stations_summary,
)
from results.summaries.frequencies import slip_frequencies
from tests.compared import STATIONS, compared_course
from tests.factories import (
    NOW,
    make_group,
    make_section,
    make_staff,
    make_station,
    raw_submission,
    submit,
)

pytestmark = pytest.mark.django_db
CODE = "IRON-1"


def coordinator(course):
    return Rights(coordinated=frozenset({course.pk}))


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


def test_effects_are_fitted_anew_when_answers_changed_and_only_then():
    course = compared_course(sections=2)
    later = NOW + timedelta(minutes=5)

    assert recompute.refresh_effects(now=later) == 0

    submit(make_group(make_section(course, code="B")), raw_submission(station="S1"))
    recompute.work_off(clock=lambda: later)

    assert recompute.refresh_effects(now=later) == 1
    assert StoredEffects.objects.get().n_answers == 17


def test_effects_are_fitted_anew_when_a_lot_was_given_another_value():
    course = compared_course(content={"L1": 0.9})
    lot = course.lots.get(code="L1")
    lot.assigned_values.create(iron_percent=10.8, valid_from=NOW - timedelta(days=1))
    lot.assigned_values.filter(iron_percent=12).update(
        valid_from=NOW - timedelta(days=2)
    )

    assert recompute.refresh_effects(now=NOW) == 1

    lots = lots_summary(CODE, rights=coordinator(course), now=NOW).lots
    assert not any(one.proposals for one in lots)


def test_effects_wait_while_answers_keep_coming():
    course = compared_course(sections=2)
    section = make_section(course, code="B")
    submit(make_group(section, code="1"), raw_submission(station="S1"))
    recompute.work_off(clock=lambda: NOW)
    submit(make_group(section, code="2"), raw_submission(station="S1"))

    assert recompute.refresh_effects(now=NOW + timedelta(seconds=30)) == 0
    assert recompute.refresh_effects(now=NOW + timedelta(seconds=90)) == 1


def test_group_whose_own_tube_is_likely_off_has_no_vote():
    course = compared_course()
    submission = course.sections.first().groups.first().submissions.get()
    group = submission.group_id
    submission.findings.all().delete()
    Finding.objects.create(
        submission=submission, audience="group", code="tube_off", probability=0.7
    )
    StoredEffects.objects.all().delete()

    recompute.refresh_effects(now=NOW, course_id=course.pk)

    assert StoredEffects.objects.get().document["left_out"] == [group]
    effects = course_effects(CODE, rights=coordinator(course))
    assert effects.n_left_out == 1
    aside = set_aside_groups(CODE, Response.SLOPE, rights=coordinator(course))
    assert (group, "a slip of its own is likely") in {
        (one.group_id, one.why) for one in aside
    }
    assert sum(line.n for line in effects.table("slope", "section").lines) == 47


def test_each_station_has_a_history_week_by_week():
    course = compared_course(
        sections=5,
        stations_of=lambda _: ["S0", "S1", "S2"] * 6,
        at=lambda number: NOW + timedelta(weeks=number),
    )

    stations = stations_summary(CODE, rights=coordinator(course)).stations

    history = next(one.history for one in stations if one.station == "S0")
    assert [point.n for point in history.points] == [6] * 5
    assert history.points[-1].smoothed is not None
    assert not history.has_moved


def test_cloud_holds_every_line_with_the_class_region():
    course = compared_course()

    cloud = slope_cloud(CODE, rights=coordinator(course))

    assert len(cloud.points) == 48
    assert cloud.ellipse is not None
    assert {point.station for point in cloud.points} == {f"S{k}" for k in range(8)}


def test_slip_that_most_of_a_section_made_on_paper_points_to_the_handout():
    course = compared_course(sections=2)
    section = course.sections.get(code="A0")
    for group in section.groups.all():
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

    found = slip_frequencies(CODE, rights=coordinator(course))

    (one,) = found.on_paper
    assert (one.code, one.n_groups) == ("worked_natural_log", 8)
    (shared,) = found.shared
    assert (shared.section, shared.n_groups, shared.n_worked) == ("A0", 8, 8)
    assert (found.n_groups, found.n_worked) == (16, 8)


def test_blanks_that_creep_at_a_station_warn_early():
    section = make_section()
    make_station(section.course, code="S1")
    for number in range(8):
        raw = raw_submission(station="S1", percent_T={"blank": 100 - 0.5 * number})
        submit(make_group(section, code=str(number)), raw)
    recompute.work_off(clock=lambda: NOW)
    recompute.refresh_effects(now=NOW, course_id=section.course_id)

    (station,) = stations_summary(CODE, rights=coordinator(section.course)).stations

    assert (station.blank.n, station.blank.target) == (8, 100.0)
    assert station.blank.warns
    assert station.sentences == (station.blank.sentence,)


def test_assistants_of_several_sections_are_compared_by_name():
    course = compared_course(sections=6)
    for number, section in enumerate(course.sections.order_by("code")):
        name = ("ada", "bo", "cy")[number % 3]
        user = User.objects.filter(username=name).first() or make_staff(name, role=None)
        Duty.objects.create(user=user, course=course, section=section, role="assistant")
    StoredEffects.objects.all().delete()

    recompute.refresh_effects(now=NOW, course_id=course.pk)

    table = course_effects(CODE, rights=coordinator(course)).table(
        "recovery", "assistant"
    )
    assert {line.level for line in table.lines} == {"ada", "bo", "cy"}
    assert sum(line.n for line in table.lines) == 48


def test_assistant_of_a_single_section_is_not_told_from_it():
    course = compared_course(sections=4)
    for section in course.sections.all():
        make_staff(f"of {section.code}", role="assistant", section=section)
    StoredEffects.objects.all().delete()

    recompute.refresh_effects(now=NOW, course_id=course.pk)

    effects = course_effects(CODE, rights=coordinator(course))
    assert effects.table("recovery", "assistant") is None
