"""The page on which vials are drawn, imported, and retired."""

import pytest
from django.urls import reverse

from results.models import Vial
from results.policy.codes import read_label
from tests.factories import make_course, make_group, make_lot, make_section, make_staff
from tests.factories import make_vial as vial_of

pytestmark = pytest.mark.django_db
ADDRESS = "/staff/courses/IRON-1/prepare/vials/"


@pytest.fixture
def lot():
    return make_lot(make_course(), iron_percent=12.34)


@pytest.fixture
def coordinator(client, lot):
    client.force_login(make_staff("ada", course=lot.course))
    return client


def press(client, *, status=302, **fields):
    answer = client.post(reverse("prepare-vials", args=["IRON-1"]), fields)
    assert answer.status_code == status
    return answer.content.decode()


def test_vials_are_drawn_and_listed_by_lot(coordinator, lot):
    press(coordinator, deed="draw", lot=lot.pk, n=" 12 ")

    content = coordinator.get(ADDRESS).content.decode()
    assert "<h1>Twelve of twelve vials are free</h1>" in content
    assert "Lot L1: 12 free" in content
    assert all(
        read_label(vial.code) and vial.code in content for vial in lot.vials.all()
    )


def test_the_page_of_vials_has_no_assigned_value(coordinator, lot):
    press(coordinator, deed="draw", lot=lot.pk, n="2")

    assert "12.34" not in coordinator.get(ADDRESS).content.decode()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"deed": "draw", "n": "many"}, "from 1 to 1000"),
        ({"deed": "draw", "n": "5", "lot": "0"}, "Choose a lot"),
        ({"deed": "retire", "labels": "418 999", "reason": "x"}, "labelled 999"),
        ({"deed": "retire", "labels": "417", "reason": "x"}, "with group 7"),
        ({"deed": "retire", "labels": "418", "reason": ""}, "Write why"),
        ({"deed": "again", "labels": ""}, "Type the labels"),
        ({"deed": "paste", "pasted": "vial,lot\n1,L1"}, "column iron_percent"),
        ({"deed": "melt"}, "one of the buttons"),
    ],
)
def test_what_cannot_be_done_says_why_and_keeps_what_was_typed(
    coordinator, lot, fields, words
):
    vial_of(lot, "417", group=make_group(make_section(lot.course), "7"))
    vial_of(lot, "418")

    content = press(coordinator, status=422, **{"lot": lot.pk} | fields)

    assert words in content
    kept = [value for name, value in fields.items() if name not in ("deed", "lot")]
    assert all(value.split("\n")[0] in content for value in kept)
    assert Vial.objects.free().count() == 1


def test_vials_are_retired_and_used_again(coordinator, lot):
    vial_of(lot, "418")

    press(coordinator, deed="retire", labels="418", reason="cracked")
    assert "cracked" in coordinator.get(ADDRESS).content.decode()
    press(coordinator, deed="again", labels="418")

    assert Vial.objects.free().count() == 1


def test_labelled_vials_come_by_a_pasted_table(coordinator, lot):
    press(
        coordinator,
        deed="paste",
        pasted="vial;lot;iron_percent;u_iron_percent\n419;L2;11,5;0,03\n",
    )

    content = coordinator.get(ADDRESS).content.decode()
    assert "Lot L2: 1 free" in content
    assert "labels without a check sign" in content


def test_a_pasted_table_gives_no_lot_another_value(coordinator, lot):
    head = "vial,lot,iron_percent,u_iron_percent\n"

    content = press(
        coordinator, deed="paste", pasted=f"{head}1,L1,11,0.04\n2,L1,11,0.04",
        status=422,
    )  # fmt: skip
    press(coordinator, deed="paste", pasted=f"{head}1,L1,12.34,0.04")

    assert content.count("has another value on record") == 1
    assert Vial.objects.get().code == "1"


@pytest.mark.parametrize("n", [2, 60])
def test_the_page_costs_the_same_queries_however_many_vials(
    coordinator, lot, n, django_assert_num_queries
):
    for number in range(n):
        vial_of(lot, str(number))

    # session, user; duties; course; issues; vials; lots
    with django_assert_num_queries(7):
        coordinator.get(ADDRESS)
