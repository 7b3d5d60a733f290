"""Stations as they are typed."""

import pytest

from results.policy.course_codes import code_problem
from results.policy.refusals import NotAdmitted
from results.policy.station_list import read_codes, read_fields
from results.policy.typed import Scale


def places(call, *args):
    with pytest.raises(NotAdmitted) as caught:
        call(*args)
    return {".".join(map(str, problem.where)) for problem in caught.value.problems}


def test_ranges_are_counted_out_with_the_zeros_that_they_have():
    assert read_codes("1-40")[-1] == "40"
    assert read_codes("S08-S10; 3") == ["S08", "S09", "S10", "3"]
    assert read_codes("A1 – A2, A2") == ["A1", "A2"]


def test_what_is_no_range_is_a_code():
    assert read_codes("window-seat, 9-7") == ["window-seat", "9-7"]


@pytest.mark.parametrize("typed", ["", " , ", "1-201", "1-999999", "x" * 41])
def test_none_too_many_and_too_long_are_refused(typed):
    assert places(read_codes, typed) == {"codes"}


def test_a_scale_has_its_own_largest_step():
    typed = {"place": " bench 1 ", "scale": "absorbance", "step": "0,001"}

    assert read_fields(typed).place == "bench 1"
    assert read_fields(typed).scale is Scale.ABSORBANCE
    assert places(read_fields, {**typed, "step": "1"}) == {"step"}


def test_everything_wrong_in_a_row_is_named_under_the_row():
    typed = {"place": "x" * 121, "scale": "furlongs", "step": "nought"}

    assert places(read_fields, typed, "t7") == {"t7.place", "t7.scale", "t7.step"}


@pytest.mark.parametrize("code", ["new", "New", "", "iron autumn", "x" * 41, "é"])
def test_a_code_that_is_none_is_refused(code):
    assert code_problem(code)
