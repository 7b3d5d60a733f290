"""A small sitting of the exam of crossed effects; `make exam` holds the whole one.

Bounds leave room for chance: three standard errors of a share over so many classes.
"""

import time

import pytest

from tests.bench.effects import a_class, fitted
from tests.exam import stray_light
from tests.exam.class_effects import examine


def test_class_without_a_fault_is_seldom_accused():
    marks = examine("no fault", 40)

    # Nominal 5 % a factor; 5 % + 3 * sqrt(0.05 * 0.95 / 40).
    assert max(marks.fdr.values()) <= 0.153
    assert marks.sigma == pytest.approx(0.009, rel=0.1)
    assert marks.spread["station"] == pytest.approx(0.006, rel=0.1)
    assert marks.spread["section"] == pytest.approx(0.004, rel=0.1)


@pytest.mark.parametrize("case", ["section x 2", "lot +10 %"])
def test_gross_fault_of_a_whole_level_is_always_found(case):
    marks = examine(case, 20)

    assert marks.found == 1.0
    assert max(marks.fdr.values()) <= 0.2


@pytest.mark.parametrize(("case", "short"), [("lot +2 %", 0.1), ("section -3 %", 0.1)])
def test_power_comes_near_that_of_who_knows_everything(case, short):
    marks = examine(case, 20)

    assert marks.found >= marks.limit - short


def test_fault_of_one_station_is_found_about_as_often_as_its_size_allows():
    # The spread of forty stations has to be estimated: Student's t asks for more than
    # the normal deviate that the limit may use, which costs about a tenth here.
    marks = examine("station +3 %", 40)

    assert marks.found >= marks.limit - 0.2


def test_several_faulty_stations_do_not_hide_one_another():
    marks = examine("four stations +3 %", 15)

    assert marks.found >= 0.5


def test_lots_nested_in_sections_are_still_told_from_them():
    marks = examine("lot +2 %, nested", 15)

    assert marks.found >= 0.8


def test_third_of_the_class_in_error_hides_no_section():
    marks = examine("30 % blunders", 20)

    assert marks.found >= 0.8
    assert max(marks.fdr.values()) <= 0.2


def test_stray_light_at_one_station_shows_in_the_bend_of_its_lines():
    found, false = stray_light.examine(0.03, 12, blunders=stray_light.BLUNDER)

    assert found == 1.0
    assert false <= 0.2


def test_ten_thousand_groups_take_less_than_a_second():
    drawn = a_class(10_000)

    start = time.process_time()
    fitted(drawn)

    assert time.process_time() - start < 1.0
