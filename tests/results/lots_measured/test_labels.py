"""Vials with drawn labels: new in every term, and silent about their lot."""

import random

import pytest

from results import issuing
from results.models import Course, Vial
from results.policy.codes import bare, check_sign, read_label
from results.policy.refusals import NotAdmitted, NotFound
from results.summaries.preparing.vials import VialState, prepared_vials
from tests.factories import (
    NOW,
    actor,
    make_course,
    make_group,
    make_lot,
    make_section,
    make_staff,
    make_vial,
)

pytestmark = pytest.mark.django_db


def draw(lot, who, n, seed=1):
    return issuing.draw_vials(
        lot.course.code,
        lot.pk,
        n,
        actor=who,
        draw_below=random.Random(seed).randrange,
    )


def test_drawn_labels_end_in_a_check_sign_and_all_differ(lot, ada):
    labels = draw(lot, ada, 300)

    assert len({read_label(label) for label in labels}) == 300
    assert Vial.objects.free().count() == 300


def test_a_label_says_nothing_about_its_lot(lot, ada):
    other = make_lot(lot.course, "L2")

    labels = draw(lot, ada, 20, seed=1)
    fewer = draw(other, ada, 20, seed=2)
    Vial.objects.all().delete()

    # The same dice give the same labels, whatever lot they are drawn for.
    assert draw(other, ada, 20, seed=1) == labels
    assert draw(lot, ada, 20, seed=2) == fewer


def test_no_label_comes_back_from_a_former_term(lot, ada):
    before = make_lot(make_course("IRON-0"), "L1")
    labels = draw(lot, ada, 30, seed=5)
    Vial.objects.all().delete()
    for label in labels:
        make_vial(before, label)

    now = draw(lot, ada, 30, seed=5)

    assert not {bare(label) for label in now} & {bare(label) for label in labels}


def test_a_label_that_is_written_otherwise_counts_as_used(lot, ada):
    (label,) = draw(lot, ada, 1)
    Vial.objects.update(code=bare(label).lower())

    assert draw(lot, ada, 1) != (label,)


def test_the_first_vials_of_a_course_have_their_labels_checked(lot, ada):
    draw(lot, ada, 1)

    assert Course.objects.get().vial_labels_checked


def test_labels_of_a_courses_own_making_stay_unchecked(lot, ada):
    make_vial(lot, "417")
    draw(lot, ada, 1)

    assert not Course.objects.get().vial_labels_checked


@pytest.mark.parametrize("n", [0, -1, 1001])
def test_a_number_that_makes_no_sense_draws_nothing(lot, ada, n):
    with pytest.raises(NotAdmitted):
        draw(lot, ada, n)

    assert not Vial.objects.exists()


def test_when_hardly_any_label_is_left_that_is_said(lot, ada):
    # Dice that fall the same way each time have one label only.
    label = "3333" + check_sign("3333")
    make_vial(lot, label)

    with pytest.raises(NotAdmitted) as refused:
        issuing.draw_vials(
            lot.course.code, lot.pk, 2, actor=ada, draw_below=lambda _: 0
        )

    assert "Hardly any label" in refused.value.problems[0].message


def test_a_retired_lot_has_no_vials_drawn(lot, ada):
    issuing.retire_lot(lot.course.code, lot.pk, reason="damp", actor=ada, now=NOW)

    with pytest.raises(NotAdmitted):
        draw(lot, ada, 3)


def test_a_page_knows_where_every_vial_is(lot, ada):
    group = make_group(make_section(lot.course), "7")
    for code in ("1", "2", "3", "4"):
        make_vial(lot, code, group=group if code == "2" else None)
    back = make_vial(lot, "5")
    back.issues.create(group=group, issued_at=NOW, ended_at=NOW)
    issuing.retire_vials("IRON-1", "3, 4", reason="cracked", actor=ada, now=NOW)

    (line,) = prepared_vials("IRON-1", rights=ada.rights).lots

    assert [one.state for one in line.vials] == [
        VialState.FREE,
        VialState.OUT,
        VialState.RETIRED,
        VialState.RETIRED,
        VialState.BACK,
    ]
    assert line.vials[1].group == "7"
    assert (line.n_free, line.counts[0]) == (1, ("free", 1))


def test_vials_are_retired_all_or_none_and_used_again(lot, ada):
    make_vial(lot, "417", group=make_group(make_section(lot.course), "7"))
    make_vial(lot, "418")

    for typed in ("", "418 417", "418, 999"):
        with pytest.raises(NotAdmitted):
            issuing.retire_vials("IRON-1", typed, reason="x", actor=ada, now=NOW)
    assert not Vial.objects.filter(retired_at__isnull=False).exists()
    issuing.retire_vials("IRON-1", "418", reason="cracked", actor=ada, now=NOW)
    assert not Vial.objects.free().exists()

    assert issuing.use_vials_again("IRON-1", "418", actor=ada) == ("418",)

    assert Vial.objects.free().count() == 1


def test_only_a_coordinator_draws_and_retires(lot):
    ben = actor(make_staff("ben", role="assistant", section=make_section(lot.course)))

    with pytest.raises(NotFound):
        draw(lot, ben, 1)
    with pytest.raises(NotFound):
        issuing.retire_vials("IRON-1", "417", reason="x", actor=ben, now=NOW)


@pytest.mark.parametrize("n", [2, 100])
def test_vials_cost_the_same_queries_however_many(
    lot, ada, n, django_assert_num_queries
):
    draw(lot, ada, n)

    # course; issues; vials; lots
    with django_assert_num_queries(4):
        prepared_vials("IRON-1", rights=ada.rights)
    # savepoint, its end; course; lot; course locked; labels; the vials
    with django_assert_num_queries(7):
        draw(lot, ada, n, seed=9)
