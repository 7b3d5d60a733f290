from concurrent.futures import ThreadPoolExecutor

import pytest
from django.urls import reverse

from results import intake
from results.rosters import issue_slip
from tests.factories import NOW, PASSWORD, make_bench, make_staff, slip_code
from tests.frontend.benches import sign_in

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("spoil", [str, str.lower, lambda c: c.replace("-", " ") + " "])
def test_a_slip_code_is_taken_however_it_is_typed(client, spoil):
    make_bench(slip=slip_code())

    answer = client.post(reverse("home"), {"slip_code": spoil(slip_code())})

    assert answer.status_code == 302
    assert answer.url == reverse("bench-sheet")


def test_a_wrong_code_stays_in_its_box_with_what_to_look_at(client):
    make_bench(slip=slip_code())

    answer = client.post(reverse("home"), {"slip_code": "ACD-3FH-K7"})

    assert answer.status_code == 422
    assert b'value="ACD-3FH-K7"' in answer.content
    assert b"The code has 9 signs; 8 were typed." in answer.content


def test_signing_in_gives_the_session_a_new_key(client):
    make_bench(slip=slip_code())
    client.get(reverse("home"))
    client.post(reverse("home"), {"slip_code": "x"})
    session = client.session
    session["before"] = True
    session.save()
    key = session.session_key
    client.cookies["sessionid"] = key

    sign_in(client)

    assert client.session.session_key != key


def test_signing_in_takes_no_key_that_the_phone_brings(client):
    make_bench(slip=slip_code())
    client.cookies["sessionid"] = brought = "k" * 32

    sign_in(client)

    assert client.session.session_key not in {None, brought}
    assert client.get(reverse("bench-sheet")).status_code == 200


def test_signing_in_takes_few_queries(client, django_assert_num_queries):
    make_bench(slip=slip_code())

    # The slip; a free key for the session, which is stored once, in a savepoint.
    with django_assert_num_queries(1 + 1 + 3):
        sign_in(client)


def test_a_withdrawn_slip_signs_its_session_out(client):
    bench = make_bench(slip=slip_code())
    sign_in(client)

    issue_slip(bench.group.pk, now=NOW)

    assert client.get(reverse("bench-sheet")).url == reverse("home")


@pytest.mark.parametrize("name", ["bench-sheet", "bench-result-current", "staff-home"])
def test_nobody_is_asked_to_sign_in(client, name):
    answer = client.get(reverse(name))

    assert answer.status_code == 302


def test_a_group_signs_out(client):
    make_bench(slip=slip_code())
    sign_in(client)

    client.post(reverse("sign-out"))

    assert client.get(reverse("bench-sheet")).url == reverse("home")


def test_an_address_that_guesses_twenty_times_waits_a_minute(client, time_machine):
    make_bench(slip=slip_code())
    time_machine.move_to(NOW, tick=False)
    for _ in range(20):
        client.post(reverse("home"), {"slip_code": "ACD3FHK7X"})

    answer = sign_in(client)
    time_machine.shift(60)

    assert answer.status_code == 429
    assert b"Wait one minute" in answer.content
    assert sign_in(client).status_code == 302


def test_tries_that_come_at_once_are_all_counted():
    def count(_):
        intake.count_wrong_try("192.0.2.7", now=NOW)

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(count, range(19)))
    before = intake.seconds_to_wait("192.0.2.7", now=NOW)
    count(20)

    assert before == 0
    assert intake.seconds_to_wait("192.0.2.7", now=NOW) == 60


def test_another_address_does_not_wait():
    for _ in range(20):
        intake.count_wrong_try("192.0.2.7", now=NOW)

    assert intake.seconds_to_wait("192.0.2.8", now=NOW) == 0


def test_a_class_behind_one_address_signs_in_within_a_minute(client):
    make_bench(slip=slip_code())

    answers = [sign_in(client).status_code for _ in range(30)]

    assert answers == [302] * 30


def test_staff_sign_in_and_out(client):
    make_staff("ada")

    into = client.post(
        reverse("staff-sign-in"), {"username": "ada", "password": PASSWORD}
    )
    out = client.post(reverse("staff-sign-out"))

    assert into.url == reverse("staff-home")
    assert out.url == reverse("home")


def test_wrong_passwords_are_counted_too(client, time_machine):
    make_staff("ada")
    time_machine.move_to(NOW, tick=False)
    form = {"username": "ada", "password": "wrong"}
    for _ in range(20):
        assert client.post(reverse("staff-sign-in"), form).status_code == 422

    answer = client.post(reverse("staff-sign-in"), form | {"password": PASSWORD})

    assert answer.status_code == 429


def test_the_administration_has_no_door_of_its_own_for_guessing(client):
    answer = client.post("/admin/login/?next=/admin/auth/", {"username": "ada"})

    assert answer.url == f"{reverse('staff-sign-in')}?next=%2Fadmin%2Fauth%2F"


@pytest.mark.parametrize("wanted", ["//elsewhere.example", "https://elsewhere.example"])
def test_the_administration_sends_nobody_elsewhere(admin_client, wanted):
    answer = admin_client.get("/admin/login/", {"next": wanted})

    assert answer.url == reverse("admin:index")


def test_staff_without_the_administration_are_told_so(client):
    client.force_login(make_staff("ada"))

    answer = client.get(reverse("admin:index"), follow=True)

    assert answer.status_code == 403
