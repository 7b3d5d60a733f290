"""A comment to start from says where points went, and blames nobody."""

from decimal import Decimal

import pytest

from results.policy.marking import Part, PartName, prewritten_comment


def parts(accuracy, worked):
    return [
        Part(PartName.ACCURACY, accuracy, Decimal(10), ()),
        Part(PartName.WORKED_ANSWER, worked, Decimal(5), ()),
    ]


@pytest.mark.parametrize(
    ("accuracy", "worked", "comment"),
    [
        (10, 5, "Good work, at the bench and on paper."),
        (8, 5, "Your working is right; 2 points went at the bench."),
        (10, 4, "Good bench work; 1 point went on paper."),
        (Decimal("7.5"), 3, "2.5 points went at the bench, 2 on paper."),
        (None, 3, "Look at the line."),
    ],
)
def test_the_opening_says_where_points_went(accuracy, worked, comment):
    found = ["Look at the line."] if accuracy is None else []

    assert prewritten_comment(parts(accuracy, worked), found) == comment


def test_without_a_worked_answer_nothing_is_said_of_paper():
    assert prewritten_comment(parts(10, 5)[:1], []) == "Good work."


def test_without_parts_there_is_nothing_to_say():
    assert prewritten_comment([], ["Look."]) == ""
