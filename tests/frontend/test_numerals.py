import pytest

from frontend.numerals import counted, decimals_for, fixed, with_uncertainty


@pytest.mark.parametrize(
    ("value", "uncertainty", "printed"),
    [
        # JCGM 100:2008, 7.2.6: 10.05762 ohm with 27 milliohm is written 10.058 ohm.
        (10.05762, 0.027, "10.058 ± 0.027"),
        (12.0374, 0.0996, "12.04 ± 0.10"),
        (-0.00312, 0.00042, "−0.00312 ± 0.00042"),
        (14.0, 14.2, "14 ± 14"),
    ],
)
def test_a_value_ends_where_its_uncertainty_ends(value, uncertainty, printed):
    assert with_uncertainty(value, uncertainty) == printed


@pytest.mark.parametrize("uncertainty", [0.0, float("nan"), float("inf")])
def test_an_uncertainty_that_says_nothing_leaves_two_decimals(uncertainty):
    assert decimals_for(uncertainty) == 2


def test_nothing_is_minus_nothing():
    assert fixed(-0.00004, 3) == "0.000"


def test_large_counts_stay_digits():
    assert counted(13) == "13"
