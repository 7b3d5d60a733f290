"""Everything printed for a course: who may, what is chosen, what a label says."""

import re

import pytest
from django.urls import reverse

from results import intake
from results.models import Group, Lot, PrepSheet, Vial
from results.policy.codes import check_sign
from tests.factories import (
    NOW,
    PASSWORD,
    make_bench,
    make_course,
    make_group,
    make_lot,
    make_section,
    make_staff,
    make_vial,
    slip_code,
)

pytestmark = pytest.mark.django_db
PAGES = (
    "prepare-paper",
    "paper-vials",
    "paper-slips",
    "paper-stickers",
    "paper-calibration",
    "paper-geometry",
    "paper-worksheet",
    "paper-prep-room",
    "paper-handout",
)


@pytest.fixture
def bench():
    return make_bench(slip=slip_code(), term="Spring term")


@pytest.fixture
def ada(client, bench):
    make_staff("ada", course=bench.course)
    client.login(username="ada", password=PASSWORD)
    return client


def page_of(name):
    return reverse(name, args=["IRON-1"])


def seen(client, name, **chosen):
    return client.get(page_of(name), chosen).content.decode()


def labels_on(content):
    """Each label in words: its code, and what else it says; squares left out."""
    labels = re.findall(r'<li class="label">(.*?)</li>', content, re.DOTALL)
    return [re.sub(r"<svg.*?</svg>", "", one, flags=re.DOTALL) for one in labels]


def codes_on(content):
    return re.findall(r"data-slip-code>([\w-]+)<", content)


@pytest.mark.parametrize("name", PAGES)
def test_coordinators_only(client, bench, name):
    make_staff("ben", role="assistant", section=bench.section)
    assert client.get(page_of(name)).status_code == 302

    client.login(username="ben", password=PASSWORD)

    assert client.get(page_of(name)).status_code == 404
    assert client.post(page_of(name)).status_code in {404, 405}


def test_the_page_says_how_much_there_is_to_print(ada, bench):
    content = seen(ada, "prepare-paper")

    assert "1 vial of 1 lot:" in content
    assert "1 group, 0 without a slip" in content
    assert "1 station:" in content


def test_labels_of_two_lots_differ_in_their_codes_only(ada, bench):
    other = make_lot(bench.course, code="LOT-SECRET", iron_percent=14)
    make_vial(other, code="802")

    content = seen(ada, "paper-vials", supplied_g="1.2")

    first, second = labels_on(content)
    assert first.replace("417", "802") == second
    assert "SECRET" not in content


def test_labels_stand_in_the_order_of_their_codes_whatever_their_lots(ada, bench):
    other = make_lot(bench.course, code="L2")
    for code in ("300", "500"):
        make_vial(other, code=code)

    codes = re.findall(r"label-code number\">(\d+)<", seen(ada, "paper-vials"))

    assert codes == ["300", "417", "500"]


def test_what_is_retired_gets_no_label(ada, bench):
    other = make_lot(bench.course, code="L2")
    make_vial(other, code="300")
    make_vial(bench.lot, code="500")
    Lot.objects.filter(pk=other.pk).update(retired_at=NOW, retired_reason="damp")
    Vial.objects.filter(code="500").update(retired_at=NOW, retired_reason="spilt")

    (only,) = labels_on(seen(ada, "paper-vials"))

    assert "417" in only
    assert "1 vial of 1 lot:" in seen(ada, "prepare-paper")


def test_chosen_lots_are_named_on_the_screen_and_on_no_label(ada, bench):
    other = make_lot(bench.course, code="L2")
    make_vial(other, code="802")

    content = seen(ada, "paper-vials", lot=other.pk)

    (only,) = labels_on(content)
    assert "802" in only
    assert "L2" not in only
    assert 'class="no-print"' in content.partition("For lot L2")[0][-900:]


def test_labels_with_a_check_sign_are_printed_in_parts(ada, bench):
    bench.course.vial_labels_checked = True
    bench.course.save()
    make_vial(bench.lot, code="ACD9" + check_sign("ACD9"))

    content = seen(ada, "paper-vials")

    assert f">ACD-9{check_sign('ACD9')}<" in content
    # A label from before the rule stays as it is.
    assert ">417<" in content


def test_a_used_sheet_begins_at_its_first_label_that_is_left(ada):
    content = seen(ada, "paper-stickers", start="5")

    assert content.count('class="label-none"') == 4


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"start": "25"}, "The sheet has labels 1 to 24; give one of these."),
        ({"copies": "9"}, "Give 1 to 4 labels a vial."),
        ({"supplied_g": "a lot"}, "is not a number"),
        ({"supplied_g": "-1"}, "Give the mass in g, above 0 to 1000"),
        ({"layout": "own"}, "Choose the size of the page."),
    ],
)
def test_what_is_wrong_is_said_where_it_was_chosen(ada, typed, sentence):
    answer = ada.get(page_of("paper-vials"), {"week": "2025-W10", **typed})

    assert answer.status_code == 422
    content = answer.content.decode()
    assert sentence in content
    for name, value in typed.items():
        assert f'value="{value}"' in content, name


def test_the_stylesheet_of_a_geometry_is_rules_and_refuses_others(ada):
    content = {"code": "6", "lines": "40-20", "modules": "29"}

    rules = ada.get(page_of("paper-geometry"), content)
    refused = ada.get(page_of("paper-geometry"), content | {"lines": "}body{"})

    assert rules["Content-Type"] == "text/css; charset=utf-8"
    assert b"grid-template-columns:repeat(3,70mm)" in rules.content
    assert refused.status_code == 422


def ask_for_slips(client, groups, **changes):
    content = client.get(page_of("paper-slips")).content.decode()
    form = dict(re.findall(r'name="(seen-\d+)" value="(\w+)"', content))
    form["section"] = re.findall(r'name="section" value="(\d+)"', content)
    form["group"] = [group.pk for group in groups]
    return client.post(page_of("paper-slips"), form | changes)


@pytest.fixture
def other(bench):
    return make_group(make_section(bench.course, "B2"), "1")


def test_slips_of_all_sections_are_made_in_one_go(ada, bench, other):
    answer = ask_for_slips(ada, [bench.group, other])

    signed_in = [
        intake.sign_in_group(code).group_id
        for code in codes_on(answer.content.decode())
    ]
    assert signed_in == [bench.group.pk, other.pk]
    assert "no-store" in answer["Cache-Control"]


def test_slips_made_meanwhile_in_one_section_stop_those_of_all(ada, bench, other):
    mark = {f"seen-{bench.section.pk}": "another"}

    answer = ask_for_slips(ada, [bench.group, other], **mark)

    assert answer.status_code == 422
    assert "were made since you opened this page" in answer.content.decode()
    assert intake.sign_in_group(slip_code()).group_id == bench.group.pk
    assert Group.objects.get(pk=other.pk).slip_digest is None


def test_nobody_chosen_is_said(ada, other):
    answer = ask_for_slips(ada, [])

    assert answer.status_code == 422
    assert "Choose the groups that need a slip." in answer.content.decode()


def test_no_slip_is_made_for_labels_that_are_too_small(ada, bench, other):
    answer = ask_for_slips(ada, [other], layout="letter-4x20-44_45x12_7")

    assert answer.status_code == 422
    assert "too small" in answer.content.decode()
    assert Group.objects.get(pk=other.pk).slip_digest is None


def test_labels_that_are_too_small_are_refused_before_anybody_is_chosen(ada):
    answer = ada.get(page_of("paper-slips"), {"layout": "letter-4x20-44_45x12_7"})

    assert answer.status_code == 422
    assert "too small" in answer.content.decode()


def test_slips_of_another_course_are_not_made_from_here(ada, bench):
    strange = make_bench(section=make_section(make_course("OTHER")))

    answer = ask_for_slips(ada, [bench.group], section=[strange.section.pk])

    assert answer.status_code == 422
    assert intake.sign_in_group(slip_code()).group_id == bench.group.pk


@pytest.mark.parametrize("n_groups", [1, 12])
def test_slips_take_the_same_queries_however_many_groups(
    ada, bench, n_groups, django_assert_max_num_queries
):
    for number in range(2, n_groups + 1):
        make_group(bench.section, str(number), students=(f"P. {number}",))

    # the page: session, user, duties, course, groups, students, vials, sections; to
    # make them as many again, and eight within two points to go back to
    with django_assert_max_num_queries(28):
        answer = ask_for_slips(ada, Group.objects.all())

    assert len(codes_on(answer.content.decode())) == n_groups


def test_the_prep_room_keeps_what_it_goes_by(ada):
    content = seen(ada, "paper-prep-room")
    boxes = dict(re.findall(r'id="([\w-]+)" name="[\w-]+" value="([^"]*)"', content))
    units = {"unit-0": "g/100 mL", "unit-1": "mol/L"}

    wrong = ada.post(page_of("paper-prep-room"), boxes | units | {"strength-1": "x"})
    kept = ada.post(page_of("paper-prep-room"), boxes | units | {"seen": "0"})
    late = ada.post(
        page_of("paper-prep-room"), boxes | units | {"seen": "0", "dispensers": "3"}
    )

    assert wrong.status_code == 422
    assert 'value="x"' in wrong.content.decode()
    assert kept.status_code == 302
    assert late.status_code == 409
    assert 'name="seen" value="1"' in late.content.decode()
    assert PrepSheet.objects.count() == 1


def test_the_worksheet_says_cautions_and_collects_waste(ada, bench):
    content = " ".join(seen(ada, "paper-worksheet").split())

    for said in (
        "This page is a reminder, not a substitute.",
        "See the sheet for your bottle.",
        "Suppliers disagree",
        "H301 toxic if swallowed",
        "Aqueous waste with metals and organic ligand",
        "Running volume, mL",
    ):
        assert said in content
    for never in ("drain", "sink", "sewer", "is safe", "harmless", "first aid"):
        assert never not in content.casefold()


def test_the_worksheet_lists_vials_without_their_lots(ada, bench):
    content = seen(ada, "paper-worksheet")

    assert ">417<" in content
    assert ">L1<" not in content
