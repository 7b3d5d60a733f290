"""People from a OneRoster 1.2 bundle (1EdTech, CSV Binding 1.2.1)."""

import io
import random
from datetime import date
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from results.policy.roster.matching import propose
from results.policy.roster.reading import read_file
from results.policy.roster.refusals import NotARoster
from tests.policy.roster.bundles import bundle, enrolment, person, room

TODAY = date(2025, 3, 4)


def read(**tables):
    return read_file(bundle(**tables), today=TODAY)


def refused(content):
    with pytest.raises(NotARoster) as refusal:
        read_file(content, today=TODAY)
    return str(refusal.value.problems[0])


def test_students_are_read_with_name_number_and_section():
    grid = read()

    assert [row.cells[:4] for row in grid.rows] == [
        ("Ivo", "Marsh", "7", "A1"),
        ("Ida", "Marsh", "8", "A1"),
    ]
    assert [row.number for row in grid.rows] == [2, 4]
    assert grid.notes == ("1 enrolments of others than students were left out.",)


def test_its_columns_are_proposed_as_what_they_are():
    assert {kind.value for kind in propose(read().head)} >= {
        *("given", "family", "number", "section"),
    }


def test_a_preferred_name_goes_before_the_other_one():
    grid = read(
        users=[
            person("u1", "Ivo", "Marsh", preferredGivenName="Iv"),
            person("u2", "Ida", "Marsh"),
            person("u3", "Eva", "Voss"),
        ]
    )

    assert grid.rows[0].cells[0] == "Iv"


def test_without_identifiers_people_are_known_by_their_sourced_id():
    users = [person(f"u{n}", "Ivo", f"Marsh {n}") for n in (1, 2, 3)]

    assert [row.cells[2] for row in read(users=users).rows] == ["u1", "u2"]


def test_a_class_without_a_code_is_known_by_its_title():
    assert read(classes=[room("k1", title="Monday")]).rows[0].cells[3] == "Monday"


def test_enrolments_that_have_ended_are_left_out():
    grid = read(
        enrollments=[
            enrolment("k1", "u1", endDate="2025-03-04"),
            enrolment("k1", "u2", endDate="2025-03-05"),
        ]
    )

    assert [row.cells[0] for row in grid.rows] == ["Ida"]
    assert grid.notes == ("1 enrolments that have ended were left out.",)


def test_a_bundle_of_several_courses_asks_which_are_meant():
    grid = read(
        classes=[room("k1", "A1"), room("k2", "B1", course="c2")],
        courses=[{"sourcedId": c, "title": c.upper()} for c in ("c1", "c2")],
        enrollments=[enrolment("k1", "u1"), enrolment("k2", "u2")],
    )

    assert grid.parts == ("C1", "C2")
    assert [row.cells[grid.part_column] for row in grid.rows] == ["C1", "C2"]


@pytest.mark.parametrize(
    ("broken", "words"),
    [
        ({"enrollments": [enrolment("k1", "u9")]}, "users.csv has no such person"),
        ({"enrollments": [enrolment("k9", "u1")]}, "classes.csv has no such class"),
        ({"classes": [room("k1", "A1", course="c9")]}, "not in courses.csv"),
    ],
)
def test_what_refers_to_nothing_is_named_with_its_row(broken, words):
    problem = read(**broken).problems[0]

    assert problem.row == 2
    assert words in problem.message


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"manifest": {"oneroster.version": "1.1"}}, "not 1.2"),
        ({"manifest": {"file.users": "delta"}}, "Export it in full"),
        ({"manifest": {"file.courses": "absent"}}, "file.courses is not “bulk”"),
        ({"without": ("manifest",)}, "manifest.csv: The bundle has no such file"),
        ({"without": ("users",)}, "users.csv: The bundle has no such file"),
        ({"enrollments": []}, "Nobody is enrolled"),
    ],
)
def test_a_bundle_that_cannot_be_compared_says_why(changes, words):
    assert words in refused(bundle(**changes))


def test_a_row_with_other_cells_is_named():
    content = bundle(users=[person("u1", "Ivo", "Marsh, junior")])

    assert "row 2, column users.csv: The row has 24 cells" in refused(content)


def test_a_file_that_unpacks_to_far_too_much_is_not_unpacked():
    out = io.BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        archive.writestr("manifest.csv", "a" * (21 * 2**20))

    assert "far too large" in refused(out.getvalue())


@pytest.mark.parametrize("seed", range(60))
def test_a_damaged_bundle_is_read_or_refused(seed):
    dice = random.Random(seed)
    content = bytearray(bundle())
    for _ in range(dice.randrange(1, 12)):
        content[dice.randrange(4, len(content))] = dice.randrange(256)
    if seed % 3 == 0:
        del content[dice.randrange(30, len(content)) :]

    try:
        grid = read_file(bytes(content), today=TODAY)
    except NotARoster:
        return
    assert grid.rows or grid.problems
