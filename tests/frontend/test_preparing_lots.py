"""Pages on which lots are made, measured, given a value, and retired."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from results.models import Assay, AssignedValue, Lot
from tests.factories import (
    actor,
    make_course,
    make_group,
    make_lot,
    make_section,
    make_staff,
    slip_code,
)
from tests.results.grading.classes import make_graded
from tests.results.lots import enter, make_up, percents, titrations

pytestmark = pytest.mark.django_db
AT = "2025-03-04T14:00"
TITRATION = {
    "titrant": "dichromate",
    "titrant_mol_L": "0,0166",
    "u_titrant_mol_L": "0.00002",
    "blank_mL": "0,05",
    "burette_limit_mL": "",
    "made_at": AT,
    "rows": "6",
}


@pytest.fixture
def lot():
    return make_lot(make_course(), iron_percent=None)


@pytest.fixture
def user(lot):
    return make_staff("ada", course=lot.course)


@pytest.fixture
def ada(user):
    return actor(user)


@pytest.fixture
def coordinator(client, user):
    client.force_login(user)
    return client


def at(name, *args):
    return reverse(name, args=["IRON-1", *args])


def page(client, name, *args, status=200):
    answer = client.get(at(name, *args))
    assert answer.status_code == status
    return answer.content.decode()


def press(client, name, *args, status=302, **fields):
    answer = client.post(at(name, *args), fields)
    assert answer.status_code == status
    return answer.content.decode()


def titrated(*pairs, **fields):
    typed = TITRATION | fields
    for place, (mass, titre) in enumerate(pairs):
        typed |= {f"mass_g-{place}": mass, f"titre_mL-{place}": titre}
    return typed


def test_lots_are_made_and_what_they_want_is_said(coordinator, lot):
    press(coordinator, "prepare-lots", codes="L2, L3")

    content = page(coordinator, "prepare-lots")

    assert "<h1>Three lots in use</h1>" in content
    assert content.count("wants a value") == 3


def test_a_code_that_is_there_already_keeps_what_was_typed(coordinator, lot):
    content = press(coordinator, "prepare-lots", codes="L9, L1", status=422)

    assert "Lot L1 is there already" in content
    assert ">L9, L1</textarea>" in content
    assert Lot.objects.count() == 1


def test_titrations_typed_with_commas_become_a_value_with_its_parts(coordinator, lot):
    typed = titrated(("0,800", "17,30"), ("0,810", "17,51"), ("0,790", "17,09"))

    press(coordinator, "prepare-record", lot.pk, "titration", **typed)

    content = page(coordinator, "prepare-lot", lot.pk)
    assert "n = 3" in content
    for part in ("scatter of the results", "titrant", "burette", "weighings"):
        assert part in content


def test_what_needs_mending_stands_at_its_box_and_nothing_is_lost(coordinator, lot):
    typed = titrated(("0,8x", "17,30"), ("0,81", ""), titrant_mol_L="")

    content = press(
        coordinator, "prepare-record", lot.pk, "titration", status=422, **typed
    )

    assert "Three things need mending" in content
    assert 'value="0,8x" inputmode="decimal" aria-invalid="true"' in content
    assert 'value="0,05"' in content
    assert 'id="row-2-problem">Type this number; it is needed.' in content
    assert not Assay.objects.exists()


def test_more_rows_keep_what_was_typed(coordinator, lot):
    typed = titrated(("0,800", "17,30"), more="1")

    content = press(
        coordinator, "prepare-record", lot.pk, "titration", status=200, **typed
    )

    assert 'value="17,30"' in content
    assert 'name="titre_mL-11"' in content


def test_a_pasted_table_fills_rows_below_those_typed(coordinator, lot):
    pasted = "vial;iron_percent\nA;12,00\nA;12,02\n"
    typed = {"iron_percent-0": "11,9", "rows": "6", "fill": "1", "made_at": AT}

    content = press(
        coordinator, "prepare-record", lot.pk, "percent", status=200, pasted=pasted,
        **typed,
    )  # fmt: skip

    assert re.findall(r'name="iron_percent-\d" [^>]*value="([^"]+)"', content) == [
        "11,9",
        "12,00",
        "12,02",
    ]


@pytest.mark.parametrize(
    ("pasted", "words"),
    [
        ("vial;iron\nA;12", "not known"),
        ("mass_g;titre_mL\n0,8;17", "have to be iron_percent"),
        ("", "empty"),
    ],
)
def test_a_table_that_cannot_be_read_stays_in_its_box(coordinator, lot, pasted, words):
    content = press(
        coordinator, "prepare-record", lot.pk, "percent", status=422,
        pasted=pasted, fill="1", note="bottle 4",
    )  # fmt: skip

    assert words in content
    assert pasted.split("\n")[0] in content
    assert 'value="bottle 4"' in content


def test_a_correction_starts_from_the_record_and_replaces_it(coordinator, lot, ada):
    first = enter(lot, titrations((0.8, 71.3), (0.81, 17.51)), ada)
    address = f"{at('prepare-record', lot.pk, 'titration')}?replaces={first}"

    assert 'value="71.3"' in coordinator.get(address).content.decode()
    typed = titrated(("0.8", "17.3"), ("0.81", "17.51"), replaces=str(first))
    press(coordinator, "prepare-record", lot.pk, "titration", status=422, **typed)
    press(coordinator, "prepare-record", lot.pk, "titration", reason="typing", **typed)

    content = page(coordinator, "prepare-lot", lot.pk)
    assert "One former record" in content
    assert ": typing" in content


@pytest.mark.parametrize("kind", ["weights", "withdrawn"])
def test_there_are_no_other_kinds_of_record(coordinator, lot, kind):
    page(coordinator, "prepare-record", lot.pk, kind, status=404)


def test_a_make_up_stands_beside_the_assay(coordinator, lot, ada):
    enter(lot, make_up(), ada)
    enter(lot, percents(12.01, 11.98, 12.0, 11.99), ada)

    content = page(coordinator, "prepare-lot", lot.pk)

    assert "Replicate results in % iron and make-up by weight agree: zeta" in content
    assert content.count('class="value-mark"') == 2
    assert content.count('class="spot"') == 4


def test_an_outlier_is_ringed_and_counts_until_a_person_sets_it_aside(
    coordinator, lot, ada
):
    record = enter(lot, percents(12.0, 12.01, 12.02, 12.01, 13.5), ada)
    content = page(coordinator, "prepare-lot", lot.pk)
    assert "Result 5 is an outlier" in content
    assert 'class="ring"' in content
    assert "n = 5" in content
    deed = {"deed": "aside", "assay": record, "place": "5"}

    refused = press(coordinator, "prepare-lot", lot.pk, status=422, **deed)
    assert "Write why" in refused
    press(coordinator, "prepare-lot", lot.pk, why="burette leaked", **deed)

    content = page(coordinator, "prepare-lot", lot.pk)
    assert "n = 4" in content
    assert "set aside: burette leaked" in content
    assert content.count('class="spot-aside"') == 1


def test_a_record_is_withdrawn_for_a_reason(coordinator, lot, ada):
    record = enter(lot, percents(12.0, 12.1), ada)
    deed = {"deed": "withdraw", "assay": record}

    assert "Write why" in press(coordinator, "prepare-lot", lot.pk, status=422, **deed)
    press(coordinator, "prepare-lot", lot.pk, reason="of lot L7", **deed)

    assert "of lot L7" in page(coordinator, "prepare-lot", lot.pk)


PAIRS = [12.0, 12.02, 12.01, 12.0, 12.02, 12.0, 12.0, 12.01, 12.01, 12.03]
VIALS = ["a", "a", "b", "b", "c", "c", "d", "d", "e", "e"]


def test_vials_side_by_side_come_with_a_verdict(coordinator, lot, ada):
    enter(lot, percents(*PAIRS, vials=VIALS), ada)

    def seen(sigma):
        address = f"{at('prepare-lot', lot.pk)}?sigma={sigma}"
        return coordinator.get(address).content.decode()

    assert "The vials are alike enough" in seen("")
    assert "Too few results to tell" in seen("0,1")
    assert "is not a number. Type digits and one comma or point. Shown is 2.5" in (
        seen("much")
    )
    assert "above 0 to 50" in seen("-1")


def test_one_result_cannot_be_assigned(coordinator, lot, ada):
    record = enter(lot, percents(12.0), ada)

    content = press(
        coordinator, "prepare-lot", lot.pk, status=422, deed="preview",
        assay=record, valid_from=AT, reason="my words",
    )  # fmt: skip

    assert "The uncertainty is not known" in content
    assert 'value="my words"' in content
    assert "it cannot be assigned" in content


def test_a_value_is_previewed_then_assigned(client):
    section, _ = make_graded(2, 0)
    lot = section.course.lots.get()
    user = make_staff("ada", course=section.course)
    client.force_login(user)
    AssignedValue.objects.update(valid_from="2025-01-01T00:00Z")
    record = enter(lot, percents(12.6, 12.58, 12.62, 12.6), actor(user))
    typed = {"assay": record, "valid_from": "2025-02-01T08:00", "reason": "assayed"}

    shown = press(client, "prepare-lot", lot.pk, status=200, deed="preview", **typed)
    mark = re.search(r'name="seen" value="(\w+)"', shown)[1]
    assert "2 of 2 groups would change" in shown
    assert "12.6 %, standard uncertainty" in shown
    assert AssignedValue.objects.count() == 1
    stale = press(
        client, "prepare-lot", lot.pk, status=409, deed="assign", seen="x", **typed
    )
    assert "not the one you looked at" in stale
    press(client, "prepare-lot", lot.pk, deed="assign", seen=mark, **typed)

    content = page(client, "prepare-lot", lot.pk)
    assert "<h1>Lot L1-1 holds 12.6" in content.replace(lot.code, "L1-1")
    assert "a record above" in content


@pytest.mark.parametrize(
    ("fields", "status", "words"),
    [
        ({"deed": "preview", "valid_from": "soon"}, 422, "Give the day and time"),
        ({"deed": "burn"}, 409, "one of the buttons"),
        ({}, 409, "one of the buttons"),
        ({"deed": "retire", "reason": " "}, 422, "Write why"),
        ({"deed": "preview", "valid_from": AT, "assay": "9" * 40}, 404, "no such rec"),
    ],
)  # fmt: skip
def test_a_press_that_makes_no_sense_changes_nothing(
    coordinator, lot, fields, status, words
):
    content = press(coordinator, "prepare-lot", lot.pk, status=status, **fields)

    assert words in content
    assert not AssignedValue.objects.exists()


def test_a_lot_is_retired_and_used_again(coordinator, lot):
    press(coordinator, "prepare-lot", lot.pk, deed="retire", reason="damp")
    assert "retired" in page(coordinator, "prepare-lots")
    assert "Use it again" in page(coordinator, "prepare-lot", lot.pk)

    press(coordinator, "prepare-lot", lot.pk, deed="again")

    assert "Retire it" in page(coordinator, "prepare-lot", lot.pk)


@pytest.mark.parametrize(
    ("name", "rest"),
    [
        ("prepare-lots", ()),
        ("prepare-lot", (0,)),
        ("prepare-record", (0, "percent")),
        ("prepare-vials", ()),
    ],
)
def test_only_coordinators_come_in(client, lot, ada, name, rest):
    enter(lot, percents(12.34, 12.36), ada)
    args = [lot.pk if one == 0 else one for one in rest]
    section = make_section(lot.course)
    make_group(section, slip=slip_code(1))
    group = Client()
    group.post(reverse("home"), {"slip_code": slip_code(1)})
    client.force_login(make_staff("ben", role="assistant", section=section))

    assert group.get(at(name, *args)).status_code == 302
    for answer in (client.get(at(name, *args)), client.post(at(name, *args))):
        assert answer.status_code == 404
        assert b"12.3" not in answer.content


@pytest.mark.parametrize("n", [2, 30])
def test_a_lot_costs_the_same_queries_however_many_results(
    coordinator, lot, ada, n, django_assert_num_queries
):
    for _ in range(3):
        enter(lot, percents(*[12.0, 12.1] * n), ada)

    # session, user; duties; course; values; lots; the lot; records; results
    with django_assert_num_queries(9):
        page(coordinator, "prepare-lot", lot.pk)
