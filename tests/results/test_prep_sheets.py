"""Versions of the prep plan, and what the worksheet makes of them."""

from dataclasses import replace

import pytest
from django.db import DatabaseError, connection, transaction

from results.models import PrepSheet
from results.models.append_only import AppendOnly
from results.policy.prep_plan import Extra, PrepPlan, Recipe
from results.policy.preparing_refusals import PrepPlanChanged
from results.policy.refusals import NoProtocol, NotFound
from results.rosters import keep_prep_plan
from results.science.prep import StrengthUnit
from results.summaries.preparing.prep_plan import prep_page
from results.summaries.preparing.worksheet import prep_worksheet
from results.summaries.rights import rights_of
from tests.factories import (
    NOW,
    actor,
    make_bench,
    make_course,
    make_group,
    make_section,
    make_staff,
    make_station,
)

pytestmark = pytest.mark.django_db
PLAN = PrepPlan(
    recipes=(Recipe("1,10-phenanthroline", "C12H8N2·H2O", 0.1, StrengthUnit.PERCENT),),
    overage_percent=25,
    dead_volume_mL=0,
    rinsings_percent=0,
)


@pytest.fixture
def ada():
    return make_staff("ada", course=make_bench().course)


def keep(ada, plan=PLAN, *, seen=0):
    return keep_prep_plan("IRON-1", plan, seen=seen, actor=actor(ada), now=NOW)


def sheet_of(ada, **chosen):
    return prep_worksheet("IRON-1", rights=rights_of(ada.pk), **chosen)


def test_versions_are_numbered_and_the_newest_holds(ada):
    keep(ada)
    second = keep(ada, replace(PLAN, overage_percent=30), seen=1)

    in_force = prep_page("IRON-1", rights=rights_of(ada.pk)).in_force
    assert (second, in_force.version, in_force.by) == (2, 2, "ada")
    assert in_force.plan.overage_percent == 30


def test_the_same_plan_twice_is_one_version(ada):
    keep(ada)

    assert keep(ada) is None
    assert PrepSheet.objects.count() == 1


def test_who_was_quicker_is_named(ada):
    keep(ada)

    with pytest.raises(PrepPlanChanged, match="ada saved another version"):
        keep(ada, replace(PLAN, overage_percent=30))


def test_a_kept_version_stays_as_it_is(ada):
    keep(ada)
    sheet = PrepSheet.objects.get()

    with pytest.raises(AppendOnly):
        sheet.save()
    with (
        connection.cursor() as cursor,
        pytest.raises(DatabaseError, match="prep_sheet_append_only"),
        transaction.atomic(),
    ):
        cursor.execute("UPDATE results_prepsheet SET version = 7")


def test_an_assistant_keeps_no_plan_and_sees_no_worksheet(ada):
    ben = make_staff("ben", role="assistant")

    with pytest.raises(NotFound):
        keep(ben)
    with pytest.raises(NotFound):
        sheet_of(ben)


def test_a_course_without_a_protocol_has_no_worksheet():
    make_section(make_course(protocol=False))
    ada = make_staff("ada")

    with pytest.raises(NoProtocol):
        sheet_of(ada)


def test_reagents_are_scaled_to_groups_and_flasks(ada):
    for number in range(2, 13):
        make_group(code=str(number))
    keep(ada)

    sheet = sheet_of(ada)

    # 12 groups × 8 flasks × 10 mL × 1.25, then up to a bottle of 2 L.
    _, ligand = sheet.reagents
    assert (sheet.n_groups, sheet.flasks) == (12, 8)
    assert (ligand.need_mL, ligand.bottles_mL) == (1200, (2000,))
    assert ligand.solid_g == pytest.approx(2.0)
    # 12 × 2.05 L, in containers of 5 L filled to 4 L.
    assert sheet.waste.per_section_mL == pytest.approx(24_600)
    assert sheet.waste.n_containers == 7


def test_what_groups_need_beside_reagents_is_scaled_by_the_group(ada):
    keep(ada, replace(PLAN, extras=(Extra("sulfuric acid, 1 M", 20),)))

    *_, acid = sheet_of(ada).reagents

    assert (acid.need_mL, acid.solid_g, acid.is_per_group) == (25, None, True)
    assert acid.substance.name == "sulfuric acid"


def test_a_molar_strength_without_a_known_solid_has_no_mass(ada):
    recipe = Recipe("1,10-phenanthroline", "", 5, StrengthUnit.MILLIMOLAR)
    keep(ada, replace(PLAN, recipes=(recipe,)))

    assert sheet_of(ada).reagents[1].solid_g is None


def test_sections_are_chosen_or_those_of_a_week(ada):
    make_group(make_section(code="B1", opens_at=NOW), "1")
    second = make_section(code="B2")

    # NOW is the Tuesday of week 10 of 2025, by the calendar of ISO 8601.
    by_week = sheet_of(ada, week="2025-W10")
    by_hand = sheet_of(ada, week="2025-W10", section_ids=[second.pk])

    assert [one.section for one in by_week.sections] == ["B1"]
    assert [one.section for one in by_hand.sections] == ["B2"]
    assert (by_hand.n_groups, by_hand.reagents[0].bottles_mL) == (0, ())


def test_stations_out_of_service_are_named_with_their_note(ada):
    make_station(code="17", in_service=False, note="lamp")

    assert sheet_of(ada).out_of_service == (("17", "lamp"),)


@pytest.mark.parametrize("n_groups", [1, 12])
def test_a_worksheet_takes_the_same_queries_however_many_groups(
    ada, n_groups, django_assert_num_queries
):
    for number in range(2, n_groups + 1):
        make_group(code=str(number))
    rights = rights_of(ada.pk)

    # course, protocol, plan, sections, vials, groups, groups of the term, stations
    with django_assert_num_queries(8):
        prep_worksheet("IRON-1", rights=rights)
