"""Every mistake at the bench gets a sentence that says what to mend, and where."""

from dataclasses import replace

import pytest

from results.policy.admission import BenchRules, admit
from results.policy.codes import check_sign, in_parts
from results.policy.protocol import read_protocol
from results.policy.refusals import NotAdmitted
from results.policy.typed import RawReading, RawSubmission, Scale, fold
from tests.factories import perfect_readings, protocol_document

LIMITS = {"standard_mass_g": [0.15, 0.3], "unknown_mass_g": [0.2, 0.3]}
RULES = BenchRules(
    protocol=read_protocol(protocol_document(limits=LIMITS)),
    stations={"s7": "S-7"},
    vials={"k4m7": "K4M-7"},
)
GOOD = RawSubmission(
    station="s 7",
    vial="k4m7",
    standard_mass_g="0,2104",
    unknown_mass_g="0.2512",
    readings=tuple(
        RawReading(tube, str(value)) for tube, value in perfect_readings().items()
    ),
    own={"own_iron_percent": "12,00"},
)


def with_reading(tube, **changes):
    return replace(
        GOOD,
        readings=tuple(
            replace(reading, **changes) if reading.tube == tube else reading
            for reading in GOOD.readings
        ),
    )


def problems_of(raw, rules=RULES):
    with pytest.raises(NotAdmitted) as refusal:
        admit(raw, rules)
    return {one.pointer: one.message for one in refusal.value.problems}


def test_a_good_submission_is_read_into_numbers():
    admitted = admit(GOOD, RULES)

    assert admitted.standard_mass_g == 0.2104
    assert (admitted.station, admitted.vial) == ("S-7", "K4M-7")
    assert len(admitted.readings) == 7
    assert admitted.own["own_iron_percent"] == "12.00"


def test_milligrams_typed_for_grams_are_recognised():
    problems = problems_of(replace(GOOD, standard_mass_g="210.4"))

    assert problems == {
        "/standard_mass_g": "210.4 looks like milligrams. In grams it is 0.2104."
    }


def test_a_mass_far_from_plausible_is_held_against_the_balance_print():
    problems = problems_of(replace(GOOD, unknown_mass_g="2.5"))

    assert "outside 0.2 to 0.3 g" in problems["/unknown_mass_g"]


@pytest.mark.parametrize("value", ["0", "130", "-4"])
def test_a_transmittance_that_cannot_be_is_refused_at_its_tube(value):
    problems = problems_of(with_reading("3", value=value))

    assert list(problems) == ["/readings/2/value"]
    assert "Tube 3" in problems["/readings/2/value"]


def test_an_absorbance_of_zero_can_be_read():
    readings = tuple(
        RawReading(reading.tube, "0", Scale.ABSORBANCE) for reading in GOOD.readings
    )

    assert admit(replace(GOOD, readings=readings), RULES).scale is Scale.ABSORBANCE


def test_a_missing_tube_is_named():
    problems = problems_of(with_reading("4", value=""))

    assert problems["/readings/3/value"].startswith("Tube 4 has no reading.")


def test_a_tube_that_was_not_measured_can_be_left_out():
    raw = replace(with_reading("4", value=""), left_out=("4",))

    assert {reading.tube for reading in admit(raw, RULES).readings} == {
        *"1235",
        "U1",
        "U2",
    }


def test_fewer_than_three_standards_make_no_line():
    raw = replace(GOOD, readings=GOOD.readings[3:], left_out=("1", "2", "3"))

    assert problems_of(raw) == {"/readings": "A line needs at least 3 standards."}


def test_an_unknown_that_was_not_read_is_missed():
    raw = replace(GOOD, readings=GOOD.readings[:5], left_out=("U1", "U2"))

    assert problems_of(raw) == {"/readings": "No unknown tube has a reading."}


def test_a_doubled_tube_is_named_where_it_stands_again():
    raw = replace(GOOD, readings=(*GOOD.readings, RawReading("u1", "40")))

    problems = problems_of(raw)

    assert list(problems) == ["/readings/7/tube"]
    assert "twice as replicate 1" in problems["/readings/7/tube"]


def test_a_second_replicate_is_no_doubled_tube():
    raw = replace(GOOD, readings=(*GOOD.readings, RawReading("U1", "40", replicate=2)))

    assert len(admit(raw, RULES).readings) == 8


@pytest.mark.parametrize("replicate", ["0", "1.5", "999", "two"])
def test_replicates_are_numbered_from_one(replicate):
    problems = problems_of(with_reading("2", replicate=replicate))

    assert "/readings/1/replicate" in problems


def test_a_tube_of_another_protocol_is_refused_with_those_there_are():
    raw = replace(GOOD, readings=(*GOOD.readings, RawReading("9", "40")))

    assert "has 1, 2, 3, 4, 5, U1, U2" in problems_of(raw)["/readings/7/tube"]


def test_a_reading_of_the_blank_may_come_along():
    raw = replace(GOOD, readings=(RawReading("Blank", "99.5"), *GOOD.readings))

    assert admit(raw, RULES).readings[0].tube == "blank"


@pytest.mark.parametrize("taken", ["0", "120", "-1"])
def test_a_volume_that_no_flask_holds_is_refused(taken):
    problems = problems_of(with_reading("5", taken_mL=taken))

    assert "100 mL flask" in problems["/readings/4/taken_mL"]


def test_an_unknown_station_points_to_the_sticker():
    problems = problems_of(replace(GOOD, station="S-99"))

    assert "sticker on the meter" in problems["/station"]


def test_a_station_must_be_chosen():
    assert "Choose the station" in problems_of(replace(GOOD, station=" "))["/station"]


def test_an_unknown_vial_points_to_its_label():
    assert "label" in problems_of(replace(GOOD, vial="ZZZ"))["/vial"]


def test_two_scales_in_one_submission_are_refused():
    problems = problems_of(with_reading("1", value="0.1", scale=Scale.ABSORBANCE))

    assert "one scale" in problems["/readings"]


def test_all_problems_come_at_once():
    raw = replace(
        with_reading("1", value="x"), station="", standard_mass_g="", unknown_mass_g=""
    )

    assert set(problems_of(raw)) == {
        "/station",
        "/standard_mass_g",
        "/unknown_mass_g",
        "/readings/0/value",
    }


def test_a_worked_answer_that_is_no_number_is_named():
    problems = problems_of(replace(GOOD, own={"own_slope": "steep"}))

    assert "not a number" in problems["/own_slope"]


def test_a_table_may_miss_tubes_and_hold_far_masses_but_no_milligrams():
    lenient = replace(RULES, lenient=True)
    far = replace(GOOD, readings=GOOD.readings[1:], standard_mass_g="2.104")

    assert admit(far, lenient).standard_mass_g == 2.104
    assert "/standard_mass_g" in problems_of(
        replace(far, standard_mass_g="210.4"), lenient
    )


CHECKED_LABEL = in_parts("ACDJ" + check_sign("ACDJ"))
CHECKED = replace(RULES, vials_checked=True, vials={fold(CHECKED_LABEL): CHECKED_LABEL})


def test_a_checked_label_is_taken_however_it_is_typed():
    raw = replace(GOOD, vial=CHECKED_LABEL.lower().replace("-", " "))

    assert admit(raw, CHECKED).vial == CHECKED_LABEL


@pytest.mark.parametrize("typed", ["ACE" + CHECKED_LABEL[3:], "417", "K4M-7"])
def test_what_cannot_be_a_checked_label_is_refused_as_such(typed):
    problems = problems_of(replace(GOOD, vial=typed), CHECKED)

    assert list(problems) == ["/vial"]
    assert problems["/vial"].startswith("Not a vial label:")
