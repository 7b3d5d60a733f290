from datetime import timedelta

from django.utils import timezone

from results.models import PendingRecompute, Submission
from tests import factories
from tests.api.bodies import body


def test_readings_become_the_groups_first_revision(group_program):
    response = group_program.send(body())

    stored = Submission.objects.get()
    assert response.status_code == 201
    assert response.headers["Location"] == "/api/v1/submissions/1"
    assert response.json()["submission_id"] == stored.pk
    assert response.json()["state"] == "waiting"
    assert response.json()["is_late"] is False


def test_stored_readings_wait_for_their_answer(group_program, bench):
    group_program.send(body())

    assert PendingRecompute.objects.get().submission.group == bench.group


def test_a_worker_is_woken_once_the_readings_are_stored(
    group_program, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as callbacks:
        group_program.send(body())

    assert len(callbacks) == 1


def test_a_repeated_request_is_stored_once(group_program):
    first = group_program.send(body(), key="k")

    again = group_program.send(body(), key="k")

    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()
    assert Submission.objects.count() == 1


def test_a_repeated_request_tells_how_far_the_first_has_come(group_program):
    group_program.send(body(), key="k")
    factories.worked_off()

    again = group_program.send(body(), key="k")

    assert again.json()["state"] == "computed"


def test_a_new_key_makes_a_new_revision(group_program):
    group_program.send(body(), key="a")

    response = group_program.send(body(), key="b")

    assert response.json()["revision"] == 2
    assert response.headers["Location"] == "/api/v1/submissions/2"


def test_numbers_with_a_decimal_comma_are_read(group_program):
    sent = body(standard_mass_g="0,2104", percent_T={"3": "58,5"})

    response = group_program.send(sent)

    assert response.status_code == 201
    stored = Submission.objects.get()
    assert stored.standard_mass_g == 0.2104
    assert stored.readings.get(tube="3").value == 58.5


def test_worked_answers_keep_the_digits_of_a_string(group_program):
    group_program.send(
        body(own_iron_percent="12,00", own_slope=0.2, own_iron_mg="30,0")
    )

    stored = Submission.objects.get()
    assert (stored.own_iron_percent, stored.own_slope) == ("12.00", "0.2")
    assert stored.own_iron_mg == "30.0"


def test_the_vial_on_record_is_taken_unless_one_is_named(group_program, bench):
    group_program.send(body())

    assert Submission.objects.get().vial == bench.vial


def test_absorbances_are_stored_as_absorbances(group_program):
    readings = [
        {"tube": tube, "absorbance": value}
        for tube, value in zip(
            ["1", "2", "3", "4", "5", "U1", "U2"],
            [0.06, 0.12, 0.24, 0.36, 0.59, 0.24, 0.24],
            strict=True,
        )
    ]

    response = group_program.send(body(readings=readings))

    assert response.status_code == 201
    assert Submission.objects.get().scale == "absorbance"


def test_a_tube_that_was_left_out_needs_no_reading(group_program):
    sent = body(percent_T={"2": None}, left_out=["2"])

    response = group_program.send(sent)

    assert response.status_code == 201
    assert Submission.objects.get().readings.count() == 6


def test_replicates_and_volumes_are_stored(group_program):
    sent = body()
    sent["readings"].append(
        {"tube": "5", "replicate": 2, "taken_mL": "49,5", "percent_T": 26}
    )

    group_program.send(sent)

    stored = Submission.objects.get().readings.get(tube="5", replicate=2)
    assert (stored.value, stored.taken_mL) == (26, 49.5)


def test_a_late_submission_is_kept_but_marked_late(group_program, bench):
    bench.section.due_at = timezone.now() - timedelta(hours=1)
    bench.section.save()

    response = group_program.send(body())

    assert response.status_code == 201
    assert response.json()["is_late"] is True
