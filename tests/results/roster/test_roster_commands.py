"""Rosters and groups without a browser."""

import io

import pytest
from django.core.management import CommandError, call_command

from tests.policy.roster.bundles import bundle
from tests.results.roster.courses import places

pytestmark = pytest.mark.django_db


def run(*arguments):
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command(*map(str, arguments), stdout=out, stderr=err)
    except CommandError as error:
        return f"{err.getvalue()}refused: {error}"
    return out.getvalue()


def roster(tmp_path, text):
    path = tmp_path / "roster.csv"
    path.write_text(text)
    return path


def test_a_dry_run_lists_every_change_and_makes_none(course, tmp_path):
    file = roster(tmp_path, "name,number,section\nIvo Marsh,0,A2\nNew Birk,9,A1\n")
    before = places()

    said = run("import_roster", course.code, file, "--whole", "--dry-run")

    assert "New Birk (9) is new in section A1." in said
    assert "Ivo Marsh (0): goes from section A1 to A2, group 1 becomes none." in said
    assert "Eva Voss (2) leaves section A1 and group 2." in said
    assert "1 new, 1 change section, 2 leave, 0 stay" in said
    assert places() == before


def test_a_roster_is_carried_out(course, tmp_path):
    file = roster(tmp_path, "name,number,section\nNew Birk,9,A2\n")

    assert "Carried out." in run("import_roster", course.code, file)
    assert places()["New Birk"] == "A2 -"


def test_columns_may_be_named(course, tmp_path):
    file = roster(tmp_path, "who,code,where\nNew Birk,9,A2\n")

    run(
        *("import_roster", course.code, file),
        *("--columns", "name=who,number=code,section=where"),
    )

    assert places()["New Birk"] == "A2 -"


def test_a_section_for_all_stands_for_a_column(course, tmp_path):
    file = roster(tmp_path, "name\nNew Birk\n")

    run("import_roster", course.code, file, "--section", "A2")

    assert places()["New Birk"] == "A2 -"


@pytest.mark.parametrize(
    ("text", "options", "words"),
    [
        ("name,section\nIvo,Q9\n", [], "row 2, column section: The course has no"),
        ("who,section\nIvo,A1\n", [], "Say which column is the whole name"),
        ("name,section\nIvo,A1\n", ["--columns", "name=who"], "no column “who”"),
        ("a,a\nIvo,A1\n", ["--columns", "name=a"], "more than one column “a”"),
        ("name,section\nIvo,A1\n", ["--columns", "age=name"], "age: known are name"),
    ],
)
def test_what_cannot_be_read_says_why(course, tmp_path, text, options, words):
    said = run("import_roster", course.code, roster(tmp_path, text), *options)

    assert "refused:" in said
    assert words in said


def test_a_bundle_is_read_too(course, tmp_path):
    path = tmp_path / "bundle.zip"
    path.write_bytes(bundle())

    said = run("import_roster", course.code, path)

    assert "1 enrolments of others than students were left out" in said
    assert places()["Ida Marsh"] == "A1 -"


def test_groups_are_filled_section_by_section(course, tmp_path):
    rows = "".join(f"Person {n},{n + 10},A2\n" for n in range(5))
    run("import_roster", course.code, roster(tmp_path, f"name,number,section\n{rows}"))

    shown = run("fill_groups", course.code, "--seed", 7, "--dry-run")
    done = run("fill_groups", course.code, "--seed", 7, "--section", "A2")

    assert "Nothing was changed." in shown
    assert shown.splitlines()[:2] == done.splitlines()[:2]
    assert "2 groups filled." in done


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (("fill_groups", "none"), "no course none"),
        (("fill_groups", "IRON-1", "--section", "Q9"), "no section Q9"),
    ],
)
def test_what_is_not_there_is_named(course, command, words):
    assert words in run(*command)


def test_a_section_with_submissions_is_said_to_stay(course):
    said = run("fill_groups", course.code, "--anew")

    assert "Section A1 has submissions; its groups stay as they are." in said
