"""Vials and assays without a browser."""

import pytest
from django.core.management import CommandError, call_command

from results.models import Assay, AssignedValue, Vial
from results.policy.codes import read_label
from tests.factories import make_course, make_lot, make_staff

pytestmark = pytest.mark.django_db


@pytest.fixture
def course():
    return make_course("iron")


def said(capsys, *args, **options):
    call_command(*args, **options)
    return capsys.readouterr().out


@pytest.fixture
def table(tmp_path):
    def write(text):
        file = tmp_path / "results.csv"
        file.write_text(text)
        return str(file)

    return write


def test_vials_are_drawn_and_their_labels_printed(course, capsys):
    labels = said(capsys, "make_vials", "iron", "L1", "12").split()

    assert len({read_label(label) for label in labels}) == 12
    assert Vial.objects.filter(lot__code="L1").count() == 12
    said(capsys, "make_vials", "iron", "L1", "3")
    assert Vial.objects.count() == 15


@pytest.mark.parametrize(
    ("args", "words"),
    [(("rust", "L1", "3"), "no course rust"), (("iron", "L1", "0"), "from 1 to 1000")],
)
def test_vials_that_cannot_be_drawn_leave_nothing(course, args, words):
    with pytest.raises(CommandError, match=words):
        call_command("make_vials", *args)

    assert not course.lots.exists()


def test_results_are_entered_and_what_they_come_to_is_printed(course, table, capsys):
    make_lot(course, iron_percent=None)
    file = table("vial;iron_percent\nA;12,00\nA;12,02\nB;12,01\nB;12,03\n")

    out = said(capsys, "assay_lot", "iron", "L1", file, "--u-shared-percent", "0,1")

    assert "4 results entered. 12.015 % iron" in out
    assert "not assigned" in out
    assert Assay.objects.get().by_name == "command"
    assert not AssignedValue.objects.exists()


def test_titrations_are_entered_and_assigned_by_a_coordinator(course, table, capsys):
    make_lot(course, iron_percent=None)
    make_staff("ada", course=course)
    file = table("mass_g,titre_mL\n0.80,17.30\n0.81,17.51\n0.79,17.09\n")
    titrant = ["--titrant", "dichromate", "--titrant-mol-l", "0.0166"]

    out = said(
        capsys, "assay_lot", "iron", "L1", file, *titrant,
        "--u-titrant-mol-l", "0.00002", "--assign", "--by", "ada",
    )  # fmt: skip

    assert "assigned, 0 grades" in out
    value = AssignedValue.objects.get()
    assert value.assigned_by.username == "ada"
    assert value.assay == Assay.objects.get()


def test_one_result_is_entered_and_said_to_be_too_little(course, table, capsys):
    make_lot(course, iron_percent=None)
    file = table("iron_percent\n12.0\n")

    out = said(capsys, "assay_lot", "iron", "L1", file, "--u-shared-percent", "0.1")

    assert "one result says nothing of its scatter" in out
    assert Assay.objects.count() == 1


@pytest.mark.parametrize(
    ("text", "options", "words"),
    [
        ("iron_percent\n12.0\n", ["--assign"], "whose decision"),
        ("iron_percent\n12.0\n", ["--assign", "--by", "eve"], "no account eve"),
        ("iron_percent\n12.0\nmuch\n", [], r"row 3, iron_percent: “much”"),
        ("iron_percent\n12.0\n", [], "u_shared_percent: Type this number"),
        ("iron\n12.0\n", [], "not known"),
    ],
)
def test_what_cannot_be_entered_is_named_and_nothing_is(
    course, table, text, options, words
):
    make_lot(course, iron_percent=None)

    with pytest.raises(CommandError, match=words):
        call_command("assay_lot", "iron", "L1", table(text), *options)

    assert not Assay.objects.exists()


def test_a_lot_that_is_not_there_is_named(course, table):
    with pytest.raises(CommandError, match="no lot L9"):
        call_command("assay_lot", "iron", "L9", table("iron_percent\n12.0\n"))
