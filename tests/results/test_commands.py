"""The whole computation without a browser: make, import, recompute, export."""

import csv
import io
import json
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from results.models import Course, Protocol, Section, Submission
from tests.factories import (
    NOW,
    make_course,
    make_section,
    perfect_readings,
    protocol_document,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def files(tmp_path):
    """A protocol, three vials of two lots and three groups, one of them hostile."""
    (tmp_path / "protocol.json").write_text(json.dumps(protocol_document()))
    (tmp_path / "vials.csv").write_text(
        "vial,lot,iron_percent,u_iron_percent\n"
        "V1,L1,12.0,0.04\nV2,L2,12.5,0.04\nV3,L1,12.0,0.04\n"
    )
    rows = [
        f"A1,{group},S1,{vial},0.2100,0.2500,{tube},1,,{percent_T}"
        for group, vial in (("1", "V1"), ("2", "V2"), ("=1+1", "V3"))
        for tube, percent_T in perfect_readings().items()
    ]
    header = (
        "section,group,station,vial,standard_mass_g,unknown_mass_g,tube,replicate,"
        "taken_mL,percent_T"
    )
    (tmp_path / "readings.csv").write_text("\n".join([header, *rows]))
    return tmp_path


def run(*arguments):
    out, err = io.StringIO(), io.StringIO()
    call_command(*map(str, arguments), stdout=out, stderr=err)
    return out.getvalue()


def prepare(files):
    run("make_course", "iron", "--title", "Iron in the spring")
    run("import_protocol", "iron", files / "protocol.json")
    run("import_vials", "iron", files / "vials.csv")
    run("import_readings", "iron", files / "readings.csv", "--create")


def test_a_course_is_computed_from_files_alone(files):
    prepare(files)

    out = run("recompute", "iron", "--wait")
    rows = list(csv.DictReader(io.StringIO(run("export_answers", "iron"))))

    assert "0 set aside" in out
    assert [row["lot"] for row in rows] == ["L1", "L2", "L1"]
    assert float(rows[0]["iron_percent"]) == pytest.approx(12.0, abs=1e-3)
    assert float(rows[1]["recovery"]) == pytest.approx(12.0 / 12.5, abs=1e-4)


def test_the_answers_table_has_its_columns_in_order(files):
    prepare(files)

    header = run("export_answers", "iron").splitlines()[0]

    assert header == (
        "section,group,station,lot,slope,slope_se,intercept,residual_sd,iron_percent,"
        "standard_uncertainty,low,high,recovery,top_finding,probability,findings,"
        "worked_finding"
    )


def test_no_cell_of_the_export_begins_a_formula(files):
    prepare(files)

    rows = list(csv.DictReader(io.StringIO(run("export_answers", "iron"))))

    assert "'=1+1" in {row["group"] for row in rows}


def test_a_course_is_made_once():
    assert "made" in run("make_course", "iron")
    assert "already" in run("make_course", "iron")
    assert Course.objects.count() == 1


def test_a_course_is_made_like_last_terms():
    section = make_section(make_course(), opens_at=NOW)

    out = run(
        *("make_course", "IRON-2", "--like", "IRON-1", "--starts", "2026-03-02"),
        *("--term", "spring"),
    )

    assert "made like IRON-1: 1 sections moved by 52 weeks" in out
    copied = Section.objects.get(course__code="IRON-2")
    assert copied.opens_at - section.opens_at == timedelta(weeks=52)
    assert Course.objects.get(code="IRON-2").term == "spring"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["new"], "cannot be called"),
        (["IRON-1", "--like", "IRON-1", "--starts", "2026-03-02"], "already"),
        (["IRON-2", "--like", "NONE", "--starts", "2026-03-02"], "no course NONE"),
        (["IRON-2", "--like", "IRON-1"], "Give the first day"),
        (["IRON-2", "--like", "IRON-1", "--starts", "soon"], "is no day"),
    ],
)
def test_a_course_that_cannot_be_made_says_why(arguments, words):
    make_course()

    with pytest.raises(CommandError, match=words):
        run("make_course", *arguments)

    assert Course.objects.count() == 1


def test_a_course_code_that_no_address_could_hold_is_refused():
    with pytest.raises(CommandError, match="letters, digits"):
        run("make_course", "iron / autumn")


def test_the_same_protocol_is_adopted_once_and_a_changed_one_becomes_the_next(files):
    prepare(files)
    run("import_protocol", "iron", files / "protocol.json")
    changed = protocol_document(develop_min=15)
    (files / "protocol.json").write_text(json.dumps(changed))

    out = run("import_protocol", "iron", files / "protocol.json")

    assert "version 2 adopted" in out
    assert list(Protocol.objects.values_list("version", flat=True)) == [1, 2]
    assert set(Submission.objects.values_list("protocol__version", flat=True)) == {1}


def test_a_protocol_with_problems_names_them_all(files):
    run("make_course", "iron")
    bad = protocol_document(standards=[], limits={"percent_T": [100, 0]})
    (files / "protocol.json").write_text(json.dumps(bad))

    with pytest.raises(CommandError) as refusal:
        run("import_protocol", "iron", files / "protocol.json")

    assert "/standards" in str(refusal.value)
    assert "/limits/percent_T" in str(refusal.value)


@pytest.mark.parametrize("content", ["{", "[]"])
def test_a_file_that_holds_no_scheme_is_refused(files, content):
    run("make_course", "iron")
    (files / "protocol.json").write_text(content)

    with pytest.raises(CommandError, match="JSON"):
        run("import_protocol", "iron", files / "protocol.json")


@pytest.mark.parametrize(
    "command", ["import_protocol", "import_vials", "import_readings"]
)
def test_a_file_that_is_not_there_is_named(command):
    run("make_course", "iron")

    with pytest.raises(CommandError, match=r"nowhere\.csv cannot be read"):
        run(command, "iron", Path("nowhere.csv"))


@pytest.mark.parametrize("command", ["recompute", "export_answers"])
def test_a_course_that_is_not_there_is_named(command):
    with pytest.raises(CommandError, match="no course none"):
        run(command, "none")


def test_a_table_with_problems_ends_in_an_error_that_says_what_to_do(files):
    run("make_course", "iron")
    run("import_protocol", "iron", files / "protocol.json")

    with pytest.raises(CommandError, match="--keep-good"):
        run("import_readings", "iron", files / "readings.csv")


def test_vials_with_problems_end_in_an_error(files):
    run("make_course", "iron")
    (files / "vials.csv").write_text("vial,lot\nV1,L1\n")

    with pytest.raises(CommandError, match="Nothing was imported"):
        run("import_vials", "iron", files / "vials.csv")


def test_recompute_without_waiting_leaves_the_work_to_a_worker(files):
    prepare(files)

    assert "3 submissions are to be computed" in run("recompute", "iron")
