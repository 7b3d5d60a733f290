"""Numbers as they are typed on phones of any country."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.policy.numbers import NotANumber, normalise, read_number


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("43.5", 43.5),
        ("43,5", 43.5),
        (" 0,2104 ", 0.2104),
        (",5", 0.5),
        ("5.", 5.0),
        ("−0,012", -0.012),
        ("1e-3", 0.001),
        (12, 12.0),
    ],
)
def test_point_and_comma_both_work(typed, number):
    assert read_number(typed) == number


@pytest.mark.parametrize(
    "typed", ["", "abc", "4 3", "1,234.5", "1.2.3", "nan", "inf", "0x10", "१२"]
)
def test_what_is_not_one_number_is_refused(typed):
    with pytest.raises(NotANumber):
        read_number(typed)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True])
def test_values_that_no_meter_shows_are_refused(value):
    with pytest.raises(NotANumber):
        read_number(value)


def test_a_very_long_text_is_refused_without_repeating_it():
    with pytest.raises(NotANumber, match="longer than any reading"):
        read_number("9" * 1000)


def test_digits_stay_as_reported():
    assert normalise("12,00") == "12.00"


@given(st.decimals(-1000, 1000, places=4))
def test_any_decimal_is_read_alike_with_point_and_comma(number):
    text = str(number)

    assert read_number(text) == read_number(text.replace(".", ",")) == float(number)
