"""When effects are fitted anew, who has a vote in them, and what they warn of."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User

from results import recompute
from results.models import Duty, Finding, StoredEffects, Submission
from results.policy.claims import Response
from results.summaries.effects import (
    course_effects,
    lots_summary,
    set_aside_groups,
    slope_cloud,
    stations_summary,
)
from results.summaries.frequencies import slip_frequencies
from tests.compared import compared_course, coordinator, share_a_slip
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


def test_effects_follow_answers_that_bear_a_time_before_the_clock_was_set_back():
    compared_course(sections=2)
    earlier = NOW - timedelta(hours=2)
    one = Submission.objects.filter(is_current=True).first()
    recompute.enqueue([one.pk], reason="again", now=earlier)
    recompute.work_off(clock=lambda: earlier)

    assert recompute.refresh_effects(now=earlier) == 1


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
    share_a_slip(course)

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
