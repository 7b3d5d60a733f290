"""Vials are issued by a plan that was looked at, or not at all."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest

from results.issuing import issue_by_plan, issue_vial, preview_plan
from results.models import Group, Issue, Station, Vial
from results.policy.issuing import CannotIssue, IssuingWish, PlanChanged
from results.policy.refusals import NotAdmitted, NotFound, NothingChosen
from tests.factories import (
    NOW,
    actor,
    make_course,
    make_group,
    make_lot,
    make_staff,
    make_vial,
    submit,
)
from tests.results.issued import (
    everybody,
    group_at,
    issue,
    look,
    lot_of,
    make_prepared,
)

pytestmark = pytest.mark.django_db


def test_every_group_gets_a_vial_and_a_station_and_neighbours_differ(course, ada):
    done = issue(everybody(course), ada)

    assert (done.n_vials, done.n_sent) == (8, 8)
    for section in course.sections.all():
        groups = list(section.groups.order_by("place"))
        assert all(a != b for a, b in pairwise(map(lot_of, groups)))
        assert all(group.planned_station.in_service for group in groups)
    assert set(Issue.objects.values_list("reason", "by_name")) == {
        ("by plan, seed 7", "ada")
    }


def test_looking_at_a_plan_stores_nothing(course, ada):
    plan = look(everybody(course), ada)

    assert len(plan.issued) == 8
    assert not Issue.objects.exists()
    assert not Group.objects.filter(planned_station__isnull=False).exists()


def test_what_was_looked_at_is_what_is_done(course, ada):
    plan = look(everybody(course), ada)

    issue(everybody(course), ada)

    live = Issue.objects.values_list("group_id", "vial__code")
    assert set(live) == {(row.group_id, row.vial) for row in plan.rows}


def test_the_same_seed_gives_the_same_vials_and_another_others(course, ada):
    first, again, other = (
        [row.vial for row in look(everybody(course, seed=seed), ada).rows]
        for seed in (7, 7, 8)
    )

    assert first == again != other


def test_groups_that_hold_a_vial_keep_it(course, ada):
    vial = Vial.objects.get(code="V103")
    Issue.objects.create(vial=vial, group=group_at("A1", 2), issued_at=NOW)

    done = issue(everybody(course), ada)

    assert done.n_vials == 7
    assert Issue.objects.live().get(group=group_at("A1", 2)).vial == vial
    assert "LA" not in {lot_of(group_at("A1", place)) for place in (1, 3)}


@pytest.mark.parametrize("change", ["vial", "group", "station", "wish"])
def test_a_plan_that_changed_since_it_was_looked_at_is_refused(course, ada, change):
    wish = everybody(course)
    seen = look(wish, ada).mark
    match change:
        case "vial":
            make_vial(course.lots.first(), code="new")
        case "group":
            make_group(course.sections.first(), code="9")
        case "station":
            Station.objects.filter(code="S1").update(in_service=False)
        case "wish":
            wish = replace(wish, seed=8)

    with pytest.raises(PlanChanged):
        issue_by_plan("IRON-1", wish, seen=seen, actor=ada, now=NOW)

    assert not Issue.objects.exists()


def test_another_vial_needs_a_reason_and_both_are_kept(course, ada):
    issue(everybody(course), ada)
    group = group_at("A1", 2)
    before = lot_of(group)

    with pytest.raises(NotAdmitted):
        look(IssuingWish(seed=1, group=group.pk), ada)
    later = NOW + timedelta(hours=1)
    issue(IssuingWish(seed=1, group=group.pk, reason="spilt"), ada, now=later)

    former, now = group.issues.order_by("issued_at")
    assert former.ended_at == now.issued_at == later
    assert now.reason == "spilt (by plan, seed 1)"
    assert now.vial.lot.code not in {
        before,
        *(lot_of(group_at("A1", k)) for k in (1, 3)),
    }


def test_a_vial_that_was_given_back_goes_to_nobody(course, ada):
    issue(everybody(course), ada)
    group = group_at("A1", 2)
    vial = group.issues.get().vial
    issue(IssuingWish(seed=1, group=group.pk, reason="spilt"), ada)

    plan = look(everybody(course, again=True, reason="all anew"), ada)

    assert vial.code not in {row.vial for row in plan.issued}


def test_all_get_another_vial_but_groups_that_have_sent_readings():
    course = make_prepared(vials=20, lots=6)
    ada = actor(make_staff("ada", course=course))
    issue(everybody(course), ada)
    group = group_at("A1", 1)
    Station.objects.filter(code="S4").update(code="4")
    submit(group)

    plan = look(everybody(course, again=True, reason="leaked"), ada)

    assert plan.n_again == 7
    assert "A1 group 1 sent readings already and keeps what was issued." in plan.notes


def test_lots_without_an_assigned_value_are_not_issued(course, ada):
    for n in range(20):
        make_vial(
            course.lots.filter(code="LX").first()
            or make_lot(course, code="LX", iron_percent=None),
            code=f"x{n}",
        )

    plan = look(everybody(course), ada)

    assert "LX" not in {row.lot for row in plan.rows}


@pytest.mark.parametrize("retired", ["lot", "vial"])
def test_what_is_retired_is_issued_to_nobody(course, ada, retired):
    plan = look(everybody(course), ada)
    label = plan.rows[0].vial
    vial = Vial.objects.get(course=course, code=label)
    one = vial if retired == "vial" else vial.lot
    one.retired_at, one.retired_reason = NOW, "opened by mistake"
    one.save()

    again = look(everybody(course), ada)

    assert label not in {row.vial for row in again.rows}
    with pytest.raises(NotFound, match="retired"):
        issue_vial(vial_id=vial.pk, group_id=plan.rows[0].group_id, now=NOW)


def test_sections_keep_to_the_stations_of_their_room(course, ada):
    rooms = dict.fromkeys(course.sections.values_list("pk", flat=True), "Room 1")

    plan = look(everybody(course, rooms=rooms), ada)

    assert {row.station for row in plan.rows} == {"S2", "S4"}


def test_a_wish_that_cannot_be_met_says_why_and_changes_nothing():
    course = make_prepared(course=make_course("IRON-2"), sections=1, lots=1, stations=1)
    who = actor(make_staff("ben", course=course))
    wish = everybody(course)
    plan = preview_plan("IRON-2", wish, rights=who.rights, now=NOW)

    (why,) = plan.impossible
    assert why == (
        "Neighbours cannot differ: A1 group 1 and A1 group 2 stand side by side, and "
        "of all lots only LA can go to them."
    )
    with pytest.raises(CannotIssue, match="Neighbours cannot differ"):
        issue_by_plan("IRON-2", wish, seen=plan.mark, actor=who, now=NOW)
    allowed = replace(wish, neighbours_may_share=True)
    assert len(preview_plan("IRON-2", allowed, rights=who.rights, now=NOW).rows) == 4


def test_nothing_is_issued_twice(course, ada):
    issue(everybody(course), ada)

    with pytest.raises(NothingChosen):
        issue(everybody(course), ada)

    assert Issue.objects.count() == 8


def test_groups_without_places_stand_in_the_order_of_their_numbers(course, ada):
    Group.objects.update(place=None)

    plan = look(everybody(course), ada)

    assert any("order of their numbers" in note for note in plan.notes)
    here = [row.lot for row in plan.rows if row.section == "A1"]
    assert all(a != b for a, b in pairwise(here))


def test_only_who_coordinates_the_course_plans(course):
    ben = actor(make_staff("ben", role="assistant", section=course.sections.first()))

    with pytest.raises(NotFound):
        look(everybody(course), ben)


def test_a_plan_costs_the_same_queries_however_many_groups(
    ada, django_assert_num_queries
):
    wish = everybody(make_prepared(course=make_course("IRON-9"), per_section=2))
    # course; vials, sections, students, memberships, issues of their groups, issues,
    # groups, lots, stations
    with django_assert_num_queries(10):
        look(replace(wish, group=0), ada)


def test_issuing_costs_the_same_queries_however_many_groups(
    course, ada, django_assert_max_num_queries
):
    wish = everybody(course)
    seen = look(wish, ada).mark
    # Twice what a plan rests on, 10 each; savepoint and its release; locks of course,
    # vials and groups; former issues ended, new ones made; groups sent.
    with django_assert_max_num_queries(28):
        issue_by_plan("IRON-1", wish, seen=seen, actor=ada, now=NOW)
