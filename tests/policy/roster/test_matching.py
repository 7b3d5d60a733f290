"""What columns mean: proposed from their heads, checked before rows are read."""

import pytest

from results.policy.roster.grid import read_grid
from results.policy.roster.matching import (
    Matching,
    Meaning,
    check_matching,
    doubled_heads,
    propose,
    read_columns,
)

GRID = read_grid(b"name,number,section\nIvo,1,A1\n")


@pytest.mark.parametrize(
    ("head", "proposed"),
    [
        ("Name,Section", {"name": 0, "section": 1}),
        ("E-mail,STUDENT NAME,Student-ID", {"name": 1, "number": 2}),
        ("Nachname,Vorname,Matrikelnummer", {"family": 0, "given": 1, "number": 2}),
        ("name,first name,last name", {"given": 1, "family": 2}),
        ("name,first name", {"name": 0}),
        ("Name,name,section", {"section": 2}),
        ("a,b,", {}),
    ],
)
def test_heads_propose_what_their_columns_mean(head, proposed):
    assert propose(head.split(",")) == proposed


def test_heads_that_stand_twice_are_named():
    assert doubled_heads(["name", "", "name", "", "group"]) == ("name",)


def test_two_columns_with_one_meaning_are_a_problem():
    columns, problems = read_columns([(0, "name"), (1, "name"), (2, "nonsense")])

    assert columns == {Meaning.NAME: 0}
    assert "Two columns are the whole name" in problems[0].message


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"section": 0}, "whole name"),
        ({"given": 0, "section": 1}, "whole name"),
        ({"name": 0, "family": 1, "section": 2}, "not both"),
        ({"name": 0}, "which column is the section"),
    ],
)
def test_what_is_missing_is_said_before_any_row_is_read(columns, words):
    matching = Matching(columns={Meaning(k): v for k, v in columns.items()})

    (problem,) = check_matching(GRID, matching)

    assert words in problem.message


def test_a_section_for_all_stands_for_a_column():
    matching = Matching(columns={Meaning.NAME: 0}, section="A1")

    assert check_matching(GRID, matching) == ()
