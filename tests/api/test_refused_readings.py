from datetime import timedelta

import pytest
from django.utils import timezone

from results.models import Protocol, Submission
from tests.api.bodies import body, problems_of

PROBLEMS = "/api/v1/problems"


def test_milligrams_typed_for_grams_are_named_with_the_grams(group_program):
    response = group_program.send(body(standard_mass_g=210.4))

    assert response.status_code == 422
    assert problems_of(response) == {
        "/standard_mass_g": "210.4 looks like milligrams. In grams it is 0.2104."
    }


@pytest.mark.parametrize("percent_T", [0, 130, "130,0"])
def test_an_impossible_transmittance_points_to_its_reading(group_program, percent_T):
    response = group_program.send(body(percent_T={"2": percent_T}))

    assert response.status_code == 422
    assert list(problems_of(response)) == ["/readings/1/percent_T"]


def test_an_impossible_absorbance_points_to_the_field_that_was_sent(group_program):
    sent = body()
    for reading in sent["readings"]:
        reading["absorbance"] = reading.pop("percent_T") / 100
    sent["readings"][4]["absorbance"] = 58.0

    response = group_program.send(sent)

    assert list(problems_of(response)) == ["/readings/4/absorbance"]


def test_a_missing_tube_is_named(group_program):
    sent = body()
    del sent["readings"][2]

    response = group_program.send(sent)

    assert response.status_code == 422
    assert "Tube 3 has no reading" in problems_of(response)["/readings"]


def test_an_empty_reading_points_to_its_box(group_program):
    response = group_program.send(body(percent_T={"3": ""}))

    assert list(problems_of(response)) == ["/readings/2/percent_T"]


def test_a_doubled_tube_is_named(group_program):
    sent = body()
    sent["readings"].append({"tube": "2", "percent_T": 76})

    response = group_program.send(sent)

    assert response.status_code == 422
    assert "Tube 2 is here twice" in problems_of(response)["/readings/7/tube"]


def test_an_unknown_tube_is_named_with_the_tubes_there_are(group_program):
    sent = body()
    sent["readings"][0]["tube"] = "9"

    response = group_program.send(sent)

    assert "has 1, 2, 3, 4, 5, U1, U2" in problems_of(response)["/readings/0/tube"]


def test_an_unknown_station_is_named(group_program):
    response = group_program.send(body(station="44"))

    assert response.status_code == 422
    assert problems_of(response) == {
        "/station": "“44” is not a station of this course. "
        "Compare with the sticker on the meter."
    }


def test_an_unknown_vial_is_named(group_program):
    response = group_program.send(body(vial="999"))

    assert list(problems_of(response)) == ["/vial"]


def test_a_number_with_comma_and_point_is_refused(group_program):
    response = group_program.send(body(unknown_mass_g="1.250,4"))

    assert "has a comma and a point" in problems_of(response)["/unknown_mass_g"]


def test_a_volume_larger_than_its_flask_is_refused(group_program):
    sent = body()
    sent["readings"][0]["taken_mL"] = 500

    response = group_program.send(sent)

    assert list(problems_of(response)) == ["/readings/0/taken_mL"]


@pytest.mark.parametrize("key", ["station", "standard_mass_g", "unknown_mass_g"])
def test_a_missing_field_gets_the_sentence_of_an_empty_box(group_program, key):
    missing, empty = body(), body(**{key: ""})
    del missing[key]

    answers = [group_program.send(sent) for sent in (missing, empty)]

    assert list(problems_of(answers[0])) == [f"/{key}"]
    assert problems_of(answers[0]) == problems_of(answers[1])


def test_every_problem_is_named_at_once(group_program):
    sent = body(station="44", standard_mass_g=210.4, percent_T={"2": 130})

    response = group_program.send(sent)

    assert list(problems_of(response)) == [
        "/station",
        "/standard_mass_g",
        "/readings/1/percent_T",
    ]
    assert response.json()["detail"].startswith("3 things need mending")


def test_a_reading_on_no_scale_is_refused(group_program):
    sent = body()
    del sent["readings"][1]["percent_T"]

    response = group_program.send(sent)

    assert response.status_code == 422
    assert list(problems_of(response)) == ["/readings/1/percent_T"]


def test_a_reading_on_both_scales_is_refused(group_program):
    sent = body()
    sent["readings"][1]["absorbance"] = 0.12

    response = group_program.send(sent)

    assert list(problems_of(response)) == ["/readings/1/absorbance"]


def test_a_misspelt_field_is_refused_instead_of_lost(group_program):
    response = group_program.send(body(own_slop="0.198"))

    assert response.status_code == 422
    assert list(problems_of(response)) == ["/own_slop"]


def test_a_misspelt_field_of_a_reading_is_refused_too(group_program):
    sent = body()
    sent["readings"][2]["taken_ml"] = 5

    response = group_program.send(sent)

    assert list(problems_of(response)) == ["/readings/2/taken_ml"]


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"standard_mass_g": True}, "/standard_mass_g"),
        ({"standard_mass_g": [0.21]}, "/standard_mass_g"),
        ({"standard_mass_g": 10**400}, "/standard_mass_g"),
        ({"standard_mass_g": "0.21\x00"}, "/standard_mass_g"),
        ({"station": {"code": 4}}, "/station"),
        ({"readings": "none"}, "/readings"),
        ({"readings": ["58.0"]}, "/readings/0"),
        ({"readings": [{"tube": "1", "percent_T": {}}]}, "/readings/0/percent_T"),
        ({"left_out": [["2"]]}, "/left_out/0"),
        ({"own_slope": "0.2\ud800"}, "/own_slope"),
    ],
)
def test_a_value_of_the_wrong_kind_is_refused_at_its_place(
    group_program, changes, pointer
):
    response = group_program.send(body(**changes))

    assert response.status_code == 422
    assert list(problems_of(response)) == [pointer]


@pytest.mark.parametrize("text", ["[]", '"readings"', "7", "null"])
def test_a_body_that_is_no_object_is_refused_as_a_whole(group_program, text):
    response = group_program.post(
        "/api/v1/submissions",
        text,
        content_type="application/json",
        headers={"Idempotency-Key": "k"},
    )

    assert response.status_code == 422
    assert list(problems_of(response)) == [""]


@pytest.mark.parametrize("text", ['{"station": ', "[" * 100_000, '{"a": NaN}', "\xff"])
def test_malformed_json_is_refused(group_program, text):
    response = group_program.post(
        "/api/v1/submissions",
        text.encode("latin-1"),
        content_type="application/json",
        headers={"Idempotency-Key": "k"},
    )

    assert response.status_code == 400
    assert response.json()["type"] == f"{PROBLEMS}/malformed"


def test_a_body_that_is_not_json_is_refused(group_program):
    response = group_program.post(
        "/api/v1/submissions",
        "station=4",
        content_type="application/x-www-form-urlencoded",
        headers={"Idempotency-Key": "k"},
    )

    assert response.status_code == 415


def test_an_oversized_body_is_refused_unread(group_program, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100

    response = group_program.send(body())

    assert response.status_code == 413


@pytest.mark.parametrize("key", [None, "", "k" * 121, "two words", "schlüssel"])
def test_a_missing_or_unusable_key_is_refused_by_name(group_program, key):
    response = group_program.send(body(), key=key)

    assert response.status_code == 400
    assert response.json()["errors"][0]["header"] == "Idempotency-Key"
    assert not Submission.objects.exists()


def test_a_key_used_for_other_readings_is_refused(group_program):
    group_program.send(body(), key="k")

    response = group_program.send(body(percent_T={"2": 77.0}), key="k")

    assert response.status_code == 409
    assert response.json()["type"] == f"{PROBLEMS}/idempotency-key-reused"
    assert Submission.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "hours", "code"),
    [("opens_at", 1, "section-not-open"), ("closes_at", -1, "section-closed")],
)
def test_a_section_that_is_not_open_refuses_readings(
    group_program, bench, field, hours, code
):
    setattr(bench.section, field, timezone.now() + timedelta(hours=hours))
    bench.section.save()

    response = group_program.send(body())

    assert response.status_code == 409
    assert response.json()["type"] == f"{PROBLEMS}/{code}"


def test_a_request_repeated_after_closing_is_answered_as_the_first(
    group_program, bench
):
    first = group_program.send(body())
    bench.section.closes_at = timezone.now()
    bench.section.save()

    again = group_program.send(body())

    assert again.status_code == 200
    assert again.json() == first.json()


def test_a_course_without_a_protocol_refuses_readings(group_program):
    Protocol.objects.all().delete()

    answers = [group_program.send(body()), group_program.see("bench-sheet")]

    assert [answer.status_code for answer in answers] == [409, 409]
    assert answers[0].json()["detail"] == answers[1].json()["detail"]


def test_nothing_is_stored_of_refused_readings(group_program):
    group_program.send(body(station="44"))

    assert not Submission.objects.exists()
