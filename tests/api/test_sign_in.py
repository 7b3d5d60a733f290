from datetime import UTC, datetime

import pytest
import time_machine

from results import rosters
from tests import factories
from tests.api.bodies import problems_of

SLIP = factories.slip_code(1)


def test_a_slip_code_becomes_a_token_that_says_whom_it_signs_in(program, bench):
    response = program.post("/api/v1/sign-in", {"slip_code": SLIP}, format="json")

    assert response.status_code == 200
    named = {key: response.json()[key] for key in ("course", "section", "group")}
    assert named == {"course": "IRON-1", "section": "A1", "group": "1"}


def test_a_slip_code_may_be_typed_in_small_letters_without_dashes(program, bench):
    typed = SLIP.replace("-", " ").lower()

    response = program.post("/api/v1/sign-in", {"slip_code": typed}, format="json")

    assert response.status_code == 200


def test_a_wrong_slip_code_is_refused_at_its_field(program, bench):
    sent = {"slip_code": factories.slip_code(2)}

    response = program.post("/api/v1/sign-in", sent, format="json")

    assert response.status_code == 422
    assert list(problems_of(response)) == ["/slip_code"]


def test_a_sign_in_without_a_slip_code_is_refused_at_its_field(program, db):
    response = program.post("/api/v1/sign-in", {}, format="json")

    assert response.status_code == 422
    assert list(problems_of(response)) == ["/slip_code"]


def test_a_withdrawn_slip_ends_its_tokens(group_program, bench):
    rosters.issue_slip(bench.group.pk, now=factories.NOW)

    response = group_program.see("bench-sheet")

    assert response.status_code == 401
    assert response.json()["detail"] == "The token was withdrawn. Sign in again."


def test_a_token_of_a_group_that_is_gone_signs_nobody_in(group_program, bench):
    bench.group.delete()

    assert group_program.see("submissions").status_code == 401


def test_a_token_lasts_twelve_hours(program, bench):
    with time_machine.travel(datetime(2025, 3, 4, 8, 0, tzinfo=UTC), tick=False):
        program.as_group(SLIP)

    with time_machine.travel(datetime(2025, 3, 4, 19, 59, tzinfo=UTC), tick=False):
        assert program.see("bench-sheet").status_code == 200
    with time_machine.travel(datetime(2025, 3, 4, 20, 1, tzinfo=UTC), tick=False):
        response = program.see("bench-sheet")
    assert response.status_code == 401
    assert response.json()["detail"] == "The token has expired. Sign in again."


def test_the_end_of_a_token_is_told(program, bench):
    with time_machine.travel(datetime(2025, 3, 4, 8, 0, tzinfo=UTC), tick=False):
        response = program.post("/api/v1/sign-in", {"slip_code": SLIP}, format="json")

    assert response.json()["expires_at"] == "2025-03-04T20:00:00Z"


@pytest.mark.parametrize("token", ["", "forged", "é", "a b c"])
def test_a_forged_token_is_refused(program, bench, token):
    response = program.get(
        "/api/v1/bench-sheet", headers={"Authorization": f"Bearer {token}"}
    )

    assert response.status_code == 401
    assert response.json()["type"] == "/api/v1/problems/sign-in-needed"


def test_without_a_token_the_answer_names_the_scheme(program, bench):
    response = program.see("bench-sheet")

    assert response.status_code == 401
    # RFC 6750, section 3.
    assert response.headers["WWW-Authenticate"].startswith("Bearer")


def test_a_member_of_staff_signs_in_with_a_password(program, bench):
    factories.make_staff("ada")

    response = program.as_staff("ada").see("courses")

    assert response.status_code == 200
    assert [course["course"] for course in response.json()["results"]] == ["IRON-1"]


def test_a_wrong_password_is_refused_without_saying_which_was_wrong(program, bench):
    factories.make_staff("ada")
    answers = [
        program.post(
            "/api/v1/staff/sign-in",
            {"username": name, "password": "not-this-one"},
            format="json",
        )
        for name in ("ada", "nobody")
    ]

    assert [answer.status_code for answer in answers] == [422, 422]
    assert answers[0].json() == answers[1].json()


def test_a_changed_password_ends_the_tokens_of_staff(program, bench):
    ada = factories.make_staff("ada")
    program.as_staff("ada")

    ada.set_password("another-wide-bench")
    ada.save()

    assert program.see("courses").status_code == 401


def test_a_member_of_staff_who_left_is_refused(program, bench):
    ada = factories.make_staff("ada")
    program.as_staff("ada")

    ada.is_active = False
    ada.save()

    assert program.see("courses").status_code == 401


WRONG = {
    "sign-in": {"slip_code": factories.slip_code(2)},
    "staff/sign-in": {"username": "ada", "password": "not-this-one"},
}


@pytest.mark.parametrize("path", WRONG)
def test_too_many_wrong_attempts_have_to_wait(program, bench, time_machine, path):
    time_machine.move_to(factories.NOW, tick=False)

    attempts = [
        program.post(f"/api/v1/{path}", WRONG[path], format="json") for _ in range(21)
    ]

    assert attempts[-2].status_code == 422
    assert attempts[-1].status_code == 429
    assert attempts[-1].headers["Retry-After"] == "60"
    assert attempts[-1].json()["type"] == "/api/v1/problems/too-many-attempts"


def test_who_has_waited_as_told_may_try_again(program, bench, time_machine):
    time_machine.move_to(factories.NOW.replace(second=17), tick=False)
    for _ in range(20):
        program.post("/api/v1/sign-in", WRONG["sign-in"], format="json")
    refused = program.post("/api/v1/sign-in", {"slip_code": SLIP}, format="json")

    time_machine.shift(int(refused.headers["Retry-After"]))

    answer = program.post("/api/v1/sign-in", {"slip_code": SLIP}, format="json")
    assert (refused.status_code, answer.status_code) == (429, 200)


def test_a_class_behind_one_address_signs_in_within_a_minute(program, bench):
    answers = [
        program.post("/api/v1/sign-in", {"slip_code": SLIP}, format="json").status_code
        for _ in range(30)
    ]

    assert answers == [200] * 30


def test_wrong_tries_on_the_pages_count_for_the_api(
    program, client, bench, time_machine
):
    time_machine.move_to(factories.NOW, tick=False)
    for _ in range(20):
        client.post("/", WRONG["sign-in"])

    answer = program.post("/api/v1/sign-in", {"slip_code": SLIP}, format="json")

    assert answer.status_code == 429
