import json
import time

import numpy as np
import pytest

from results.science.dilution import parse_scheme
from results.science.simulate import (
    draw_groups,
    draw_worked_answers,
    invent_course,
)
from tests.science.schemes import scheme_document


@pytest.fixture(scope="module")
def course():
    return invent_course()


def test_demonstration_has_six_sections_of_twelve(course):
    sizes = (
        len(course.sections),
        len(course.groups),
        len(course.stations),
        len(course.lots),
    )

    assert sizes == (6, 72, 14, 8)


def test_same_seed_gives_the_same_course_whatever_was_drawn_before(course):
    draw_groups(np.random.default_rng(99), 10)
    invent_course(5, sections=1)

    again = invent_course()

    assert again == course


def test_another_seed_gives_another_course(course):
    assert invent_course(2).groups != course.groups


def test_codes_and_people_are_never_used_twice(course):
    vials = [vial.code for vial in course.vials]
    people = [name for group in course.groups for name in group.students]
    people += [name for section in course.sections for name in section.assistants]

    assert len(set(vials)) == len(vials)
    assert len(set(people)) == len(people)
    assert not set("".join(vials)) & set("0O1IL5S2Z8B")


def test_groups_name_things_that_the_course_has(course):
    sections = {section.code for section in course.sections}
    stations = {station.code for station in course.stations}
    vials = {vial.code for vial in course.vials}

    assert {group.section for group in course.groups} == sections
    assert {group.station for group in course.groups} <= stations
    assert {group.vial for group in course.groups} < vials


def test_neighbours_have_different_lots(course):
    lot_of = {vial.code: vial.lot for vial in course.vials}

    pairs = zip(course.groups, course.groups[1:], strict=False)

    assert all(
        lot_of[left.vial] != lot_of[right.vial]
        for left, right in pairs
        if left.section == right.section
    )


def test_a_few_groups_have_not_submitted(course):
    missing = [group for group in course.groups if group.submission is None]

    assert 1 <= len(missing) <= 8


def test_late_work_arrives_after_it_is_due():
    course = invent_course(1, sections=20)
    due = 60 * course.sections[0].due_after_hours

    received = [
        (group.submission.is_late, group.submission.received_minutes)
        for group in course.groups
        if group.submission
    ]

    assert any(late for late, _ in received)
    assert all(late == (minutes > due) for late, minutes in received)


def test_worked_answers_are_texts_with_their_digits(course):
    submitted = [group.submission for group in course.groups if group.submission]

    for submission in submitted:
        assert float(submission.own_iron_percent) != 0
        assert "e" not in submission.own_slope
    assert any(not submission.own_slope for submission in submitted)


def test_readings_stand_on_the_scale_of_their_station(course):
    station_of = {station.code: station for station in course.stations}
    typed_as_meant = [
        (station_of[group.station], reading.value)
        for group in course.groups
        if group.submission and not group.truth.slips
        for reading in group.submission.readings
    ]

    for station, value in typed_as_meant:
        assert value / station.step == pytest.approx(round(value / station.step))
        assert (value < 3) == (station.scale == "absorbance")


def test_two_stations_and_one_lot_have_a_fault(course):
    stations = [station.code for station in course.stations if station.fault]
    lots = [lot.code for lot in course.lots if lot.fault]

    assert (len(stations), len(lots)) == (2, 1)


def test_null_course_has_nothing_wrong_anywhere():
    course = invent_course(3, slip_rate_factor=0)

    assert not any(station.fault for station in course.stations)
    assert not any(lot.fault for lot in course.lots)
    assert not any(
        group.truth.slips or group.truth.worked_slips for group in course.groups
    )


def test_protocol_is_a_document_that_can_be_stored(course):
    stored = json.loads(json.dumps(course.protocol))

    scheme = parse_scheme(stored)

    low, high = stored["limits"]["standard_mass_g"]
    assert low < scheme.standard_mass_g < high
    roles = [reagent["role"] for reagent in stored["reagents"]]
    # Reductant before buffer, while the flask is still acid: common practice.
    assert roles.index("reductant") < roles.index("buffer")
    assert "safety data sheet" in stored["cautions"][-1]


def test_another_scheme_brings_its_own_limits():
    course = invent_course(1, sections=1, scheme=scheme_document())

    low, high = course.protocol["limits"]["unknown_mass_g"]
    assert (low, high) == (0.2, 0.3)
    assert len(course.groups[0].submission.readings) == 8


@pytest.mark.parametrize("size", [(1, 1, 1, 1), (2, 3, 50, 12), (1, 12, 1, 8)])
def test_small_and_lopsided_courses_can_be_invented(size):
    sections, groups, stations, lots = size

    course = invent_course(
        1,
        sections=sections,
        groups_per_section=groups,
        stations=stations,
        lots=lots,
        slip_rate_factor=5,
    )

    assert len(course.groups) == sections * groups


def test_course_without_groups_is_refused():
    with pytest.raises(ValueError, match="at least one section, group"):
        invent_course(1, groups_per_section=0)


def test_vial_codes_can_come_from_elsewhere():
    course = invent_course(
        1, sections=1, vial_code=lambda rng: f"V-{rng.integers(10_000):04d}"
    )

    assert all(vial.code.startswith("V-") for vial in course.vials)


def test_vial_codes_that_run_out_are_refused():
    with pytest.raises(ValueError, match="Only 2 different vial codes of 20"):
        invent_course(1, sections=1, vial_code=lambda rng: str(rng.integers(2)))


def test_a_term_is_invented_in_two_seconds_and_a_big_draw_in_ten():
    started = time.perf_counter()
    term = invent_course(1, sections=30, stations=40)
    after_term = time.perf_counter()
    drawn = draw_groups(np.random.default_rng(1), 3000)
    draw_worked_answers(np.random.default_rng(1), drawn)
    finished = time.perf_counter()

    assert len(term.groups) == 360
    assert after_term - started < 2
    assert finished - after_term < 10
