"""Rows of a roster, each with its problem and its number."""

import pytest

from results.policy.roster.matching import Outside
from tests.policy.roster.rosters import entries_of


def said(entries):
    return [str(problem) for problem in entries.problems]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (",7,A1,", "row 2, column name: The name is missing."),
        ("Ivo,7,,", "row 2, column section: The section is missing."),
        ("Ivo,7,Q9,", "row 2, column section: The course has no section “Q9”."),
        (f"{'I' * 121},7,A1,", "Shorten the whole name to 120 signs."),
        (f"Ivo,{'7' * 61},A1,", "Shorten the number at the college to 60 signs."),
        (f"Ivo,7,A1,{'7' * 41}", "Shorten the group to 40 signs."),
    ],
)
def test_a_row_that_needs_mending_says_where_and_what(row, words):
    (problem,) = said(entries_of(row))

    assert words in problem


def test_rows_that_are_in_order_are_read_beside_those_that_are_not():
    entries = entries_of("Ivo,1,A1,", ",2,A1,", "Ida,3,A1,")

    assert [one.row for one in entries.people] == [2, 4]


@pytest.mark.parametrize("typed", ["A1", "a1", "A 1", "a-1"])
def test_a_section_is_known_however_it_is_typed(typed):
    assert entries_of(f"Ivo,1,{typed},").people[0].section == "A1"


def test_a_section_typed_like_two_is_none_of_them():
    entries = entries_of("Ivo,1,a1,", sections=("A1", "A-1"))

    assert "no section “a1”" in said(entries)[0]


def test_missing_sections_are_made_once_if_asked_for():
    entries = entries_of("Ivo,1,Q9,", "Ida,2,q9,", outside=Outside.MAKE)

    assert entries.new_sections == ("Q9",)
    assert {one.section for one in entries.people} == {"Q9"}


def test_rows_of_other_sections_are_left_out_and_counted_if_asked_for():
    entries = entries_of("Ivo,1,Q9,", "Ida,2,A1,", outside=Outside.LEAVE_OUT)

    assert (len(entries.people), entries.n_left_out) == (1, 1)


def test_given_and_family_name_are_put_together():
    entries = entries_of("Marsh, Ivo ,A1", head="surname,first name,section")

    assert entries.people[0].name == "Ivo Marsh"


def test_the_same_row_twice_counts_once_and_is_named():
    entries = entries_of("Ivo,1,A1,", "Ivo,1,A1,")

    assert len(entries.people) == 1
    assert (entries.repeated[0].row, entries.repeated[0].first) == (3, 2)
    assert not entries.problems


@pytest.mark.parametrize("other", ["Ida,1,A1,", "Ivo,1,A2,", "Ivo,1,A1,2"])
def test_one_number_for_two_different_rows_is_a_problem(other):
    (problem,) = said(entries_of("Ivo,1,A1,", other))

    assert "row 3, column number: The number 1 is in row 2 already" in problem


def test_one_name_twice_without_numbers_is_a_problem():
    (problem,) = said(entries_of("Ivo Marsh,,A1,", "ivo  MARSH,,A2,"))

    assert "row 3, column name" in problem
    assert "give both their number" in problem


def test_one_name_with_two_numbers_is_two_people():
    assert len(entries_of("Ivo,1,A1,", "Ivo,2,A1,").people) == 2


def test_every_one_of_5000_rows_that_needs_mending_is_named():
    entries = entries_of(*(f",{n},A1," for n in range(5000)))

    assert [problem.row for problem in entries.problems] == list(range(2, 5002))
