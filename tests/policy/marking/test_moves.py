"""A person's word changes only by a person; an allowance never lowers."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.policy.marking import Part, PartName, Suggestion
from results.policy.marking.moves import Move, Standing, move
from tests.policy.marking.schemes import hundredths


def suggestion(points, most=10, look=()):
    exact = None if points is None else Decimal(str(points))
    part = Part(PartName.ACCURACY, exact, Decimal(most), ())
    return Suggestion((part,), look)


DRAFT = Standing(suggestion(7))
SET = replace(DRAFT, final=Decimal(7))


@pytest.mark.parametrize(
    ("standing", "new", "granting", "expected"),
    [
        (DRAFT, suggestion(7), False, Move.NOTHING),
        (DRAFT, suggestion(8), False, Move.SUGGEST),
        (DRAFT, suggestion(7, look=("new",)), False, Move.SUGGEST),
        (SET, suggestion(7, look=("new",)), False, Move.NOTHING),
        (SET, suggestion(8), False, Move.PROPOSE),
        (SET, suggestion(None), False, Move.PROPOSE),
        (SET, suggestion(8), True, Move.RAISE),
        (SET, suggestion(6), True, Move.PROPOSE),
        (SET, suggestion(8, most=20), True, Move.PROPOSE),
        (replace(SET, is_override=True), suggestion(8), True, Move.PROPOSE),
        (replace(SET, proposed=suggestion(8)), suggestion(8), False, Move.NOTHING),
        (replace(SET, proposed=suggestion(8)), suggestion(7), False, Move.WITHDRAW),
        (replace(SET, declined=suggestion(8)), suggestion(8), False, Move.NOTHING),
        (replace(SET, declined=suggestion(8)), suggestion(9), False, Move.PROPOSE),
    ],
)
def test_what_a_new_suggestion_does(standing, new, granting, expected):
    assert move(standing, new, granting=granting) is expected


points = hundredths(0, 10)


@given(points, points, points, st.booleans(), st.booleans())
def test_a_set_grade_only_ever_rises_by_itself(old, final, new, is_override, granting):
    standing = Standing(suggestion(old), Decimal(str(final)), is_override)

    what = move(standing, suggestion(new), granting=granting)

    assert what is not Move.SUGGEST
    if what is Move.RAISE:
        assert granting
        assert new > final
