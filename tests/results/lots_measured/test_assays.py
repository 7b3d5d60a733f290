"""What was measured of a lot: entered once, corrected by another, never changed."""

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from results import issuing
from results.models import Assay, AssayResult, Lot, Vial
from results.models.append_only import AppendOnly
from results.policy.assayed import USUAL_SIGMA_PERCENT
from results.policy.refusals import NotAdmitted, NotFound
from results.summaries.preparing.lots import lot_sheet, prepared_lots
from tests.factories import (
    NOW,
    actor,
    make_group,
    make_lot,
    make_section,
    make_staff,
    make_vial,
)
from tests.results.lots import enter, make_up, percents, titrations

pytestmark = pytest.mark.django_db


def sheet_of(lot, who):
    return lot_sheet(
        lot.course.code,
        lot.pk,
        sigma_percent=USUAL_SIGMA_PERCENT,
        rights=who.rights,
    )


def test_a_record_is_worked_out_with_its_results(lot, ada):
    enter(lot, titrations((0.80, 17.3), (0.81, 17.51), (0.79, 17.09)), ada)

    (line,) = sheet_of(lot, ada).standing
    assert line.by_name == "ada"
    assert line.assayed.mean.n == 3
    assert line.assayed.estimated.value == pytest.approx(11.99, abs=0.02)
    assert {part.name for part in line.assayed.estimated.components} == {
        "scatter",
        "titrant",
        "burette",
        "weighing",
    }


def test_the_make_up_is_held_against_the_assay(lot, ada):
    enter(lot, make_up(), ada)
    enter(lot, percents(12.01, 11.98, 12.0, 11.99), ada)

    (pair,) = sheet_of(lot, ada).agreements

    assert abs(pair.zeta) < 2


def test_a_correction_replaces_and_keeps_the_former_record(lot, ada):
    first = enter(lot, percents(21.0, 12.0), ada)
    fix = issuing.Correction(first, "12.0 was typed as 21.0")

    second = enter(lot, percents(12.0, 12.0), ada, correction=fix)

    sheet = sheet_of(lot, ada)
    assert [one.assay_id for one in sheet.standing] == [second]
    assert [one.assay_id for one in sheet.former] == [first]
    assert sheet.former[0].record.rows[0].iron_percent == 21.0


def test_a_record_is_replaced_once(lot, ada):
    first = enter(lot, percents(21.0, 12.0), ada)
    fix = issuing.Correction(first, "typing")
    enter(lot, percents(12.0, 12.0), ada, correction=fix)

    with pytest.raises(NotAdmitted) as refused:
        enter(lot, percents(12.1, 12.0), ada, correction=fix)

    assert "replaced meanwhile" in refused.value.problems[0].message


def test_a_correction_says_why(lot, ada):
    first = enter(lot, percents(12.0, 12.1), ada)

    with pytest.raises(NotAdmitted):
        enter(lot, percents(12.0), ada, correction=issuing.Correction(first, " "))

    assert Assay.objects.count() == 1


def test_only_a_person_sets_a_result_aside_and_for_a_reason(lot, ada):
    record = enter(lot, percents(12.0, 12.01, 12.02, 12.01, 13.5), ada)
    assert sheet_of(lot, ada).standing[0].assayed.mean.n == 5

    def set_aside(why):
        issuing.set_aside_result(
            lot.course.code, (record, 5), counts=False, why=why, actor=ada, now=NOW
        )

    with pytest.raises(NotAdmitted):
        set_aside("")
    set_aside("burette leaked")

    (line,) = sheet_of(lot, ada).standing
    assert line.assayed.mean.n == 4
    assert line.record.rows[4].set_aside == "burette leaked"
    assert line.reason == "result 5 set aside: burette leaked"


def test_a_result_set_aside_may_count_again(lot, ada):
    record = enter(lot, percents(12.0, 12.01, 12.5), ada)
    for counts in (False, True):
        record = issuing.set_aside_result(
            lot.course.code, (record, 3), counts=counts, why="drop", actor=ada, now=NOW
        ).assay_id

    assert sheet_of(lot, ada).standing[0].assayed.mean.n == 3
    assert len(sheet_of(lot, ada).former) == 2


def test_one_result_is_left_to_count(lot, ada):
    record = enter(lot, percents(12.0), ada)

    with pytest.raises(NotAdmitted, match="mending"):
        issuing.set_aside_result(
            lot.course.code, (record, 1), counts=False, why="x", actor=ada, now=NOW
        )


@pytest.mark.parametrize("place", [0, 3])
def test_there_is_no_result_beyond_the_last(lot, ada, place):
    record = enter(lot, percents(12.0, 12.1), ada)

    with pytest.raises(NotFound):
        issuing.set_aside_result(
            lot.course.code, (record, place), counts=False, why="x", actor=ada, now=NOW
        )


def test_a_record_of_another_lot_is_withdrawn_and_kept(lot, ada):
    record = enter(lot, percents(12.0, 12.1), ada)

    issuing.withdraw_assay(
        lot.course.code, record, reason="of lot L7", actor=ada, now=NOW
    )

    sheet = sheet_of(lot, ada)
    assert sheet.standing == ()
    assert [one.reason for one in sheet.former] == ["of lot L7", ""]


def test_a_vial_opened_for_an_assay_is_given_out_no_more(lot, ada):
    vial = make_vial(lot, "ACD-3F")

    enter(lot, percents(12.0, 12.1, vials=["acd3f", "bottle"]), ada)

    assert not Vial.objects.free().exists()
    vial.refresh_from_db()
    assert vial.retired_reason == "opened for an assay"
    assert AssayResult.objects.order_by("place")[0].vial == "ACD-3F"


def test_a_vial_of_another_lot_is_named(lot, ada):
    make_vial(make_lot(lot.course, "L2"), "417")

    with pytest.raises(NotAdmitted) as refused:
        enter(lot, percents(12.0, vials=["417"]), ada)

    assert refused.value.problems[0].where == ("rows", 0, "vial")
    assert not Assay.objects.exists()


def test_a_vial_that_a_group_has_stays_with_it(lot, ada):
    vial = make_vial(lot, "417", group=make_group(make_section(lot.course)))

    enter(lot, percents(12.0, vials=["417"]), ada)

    vial.refresh_from_db()
    assert vial.retired_at is None


def test_records_are_not_changed_by_programs_or_by_the_database(lot, ada):
    enter(lot, percents(12.0, 12.1), ada)
    assay, result = Assay.objects.get(), AssayResult.objects.first()

    for act in (assay.save, assay.delete, Assay.objects.all().delete):
        with pytest.raises(AppendOnly):
            act()
    for row in (assay, result):
        with pytest.raises(DatabaseError, match="append_only"), transaction.atomic():
            super(type(row).__mro__[1], row).save()


@pytest.mark.parametrize(
    ("fields", "constraint"),
    [
        ({"iron_percent": 12.0, "mass_g": 0.8}, "in_percent_or_titrated"),
        ({"mass_g": 0.8}, "in_percent_or_titrated"),
        ({"iron_percent": 0.0}, "in_percent_or_titrated"),
    ],
)
def test_the_database_wants_a_percent_or_a_titration(lot, ada, fields, constraint):
    enter(lot, make_up(), ada)
    row = AssayResult(assay=Assay.objects.get(), place=1, replicate=1, **fields)

    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        row.save()


def test_only_a_coordinator_enters_a_record(lot):
    ben = actor(make_staff("ben", role="assistant", section=make_section(lot.course)))

    with pytest.raises(NotFound):
        enter(lot, percents(12.0), ben)


@pytest.mark.parametrize("n", [1, 40])
def test_a_lot_costs_the_same_queries_however_much_is_known(
    lot, ada, n, django_assert_num_queries
):
    for _ in range(n):
        enter(lot, percents(12.0, 12.1, 12.0, 12.1, vials=["a", "a", "b", "b"]), ada)

    # course; values; lots; the lot; its records; their results
    with django_assert_num_queries(6):
        sheet_of(lot, ada)


@pytest.mark.parametrize("n", [1, 40])
def test_a_list_costs_the_same_queries_however_many_lots(
    lot, ada, n, django_assert_num_queries
):
    for number in range(n):
        make_vial(make_lot(lot.course, f"M{number}"), f"V{number}")

    # course, twice; values; lots, twice; vials
    with django_assert_num_queries(6):
        prepared_lots(lot.course.code, rights=ada.rights)


def test_a_retired_lot_gives_no_vial_away(lot, ada):
    make_vial(lot, "417")
    code = lot.course.code

    assert issuing.retire_lot(code, lot.pk, reason="damp", actor=ada, now=NOW)
    assert not issuing.retire_lot(code, lot.pk, reason="damp", actor=ada, now=NOW)
    assert not Vial.objects.free().exists()

    assert issuing.use_lot_again(code, lot.pk, actor=ada)
    assert Vial.objects.free().count() == 1
    assert not issuing.use_lot_again(code, lot.pk, actor=ada)


@pytest.mark.parametrize("reason", ["", "a" * 241])
def test_a_lot_is_retired_for_a_reason(lot, ada, reason):
    with pytest.raises(NotAdmitted):
        issuing.retire_lot(lot.course.code, lot.pk, reason=reason, actor=ada, now=NOW)


def test_lots_are_made_all_or_none(lot, ada):
    assert issuing.make_lots("IRON-1", "L2, L3;L4\n", actor=ada) == ("L2", "L3", "L4")
    for typed in ("", " , ", "L9, l2", "N1, N1", "x" * 41, "a," * 101):
        with pytest.raises(NotAdmitted):
            issuing.make_lots("IRON-1", typed, actor=ada)

    assert Lot.objects.count() == 4


def test_a_lot_and_its_records_go_with_their_course(lot, ada):
    enter(lot, percents(12.0, 12.1), ada)
    lot.course.protocols.all().delete()

    lot.course.delete()

    assert not Assay.objects.exists()
