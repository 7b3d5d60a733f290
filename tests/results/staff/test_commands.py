"""Staff by command: the same actions, no password where others can read it."""

import io
import re

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command

from results.models import Duty
from results.rosters.staff import open_link
from tests.factories import NOW, PASSWORD, make_section, make_staff, the_course

pytestmark = pytest.mark.django_db


def run(*arguments):
    out = io.StringIO()
    call_command(*arguments, stdout=out, stderr=out)
    return out.getvalue()


@pytest.fixture
def typed(monkeypatch):
    """Whatever is given next on standard input."""

    def type_in(text):
        monkeypatch.setattr("sys.stdin", io.StringIO(text))

    return type_in


def test_an_account_is_made_once_and_kept_up_to_date():
    first = run("make_staff", "zoe", "--email", "zoe@chem.example")
    second = run("make_staff", "zoe", "--name", "Zoe Lindqvist")

    assert (first, second) == (
        "Account zoe made.\n",
        "Account zoe is there already.\n",
    )
    zoe = User.objects.get()
    assert (zoe.email, zoe.first_name) == ("zoe@chem.example", "Zoe Lindqvist")
    assert not zoe.has_usable_password()


def test_a_password_comes_from_standard_input_and_is_not_repeated(typed):
    typed(f"{PASSWORD}\n")

    out = run("make_staff", "zoe", "--password-from-stdin")

    assert User.objects.get().check_password(PASSWORD)
    assert PASSWORD not in out


@pytest.mark.parametrize("text", ["", "\n", "1234\n"])
def test_a_password_that_is_easy_to_guess_makes_no_account(typed, text):
    typed(text)

    with pytest.raises(CommandError, match="too short"):
        run("make_staff", "zoe", "--password-from-stdin")

    assert not User.objects.exists()


def test_an_invitation_prints_a_link_that_works(settings, time_machine):
    time_machine.move_to(NOW, tick=False)
    settings.DEBUG, settings.SECURE_SSL_REDIRECT = False, True
    settings.ALLOWED_HOSTS = ["*", "bench.example"]

    out = run("make_staff", "zoe", "--invite")

    address = r"^https://bench\.example/staff/welcome/(\S+)/$"
    (token,) = re.findall(address, out, re.MULTILINE)
    assert open_link(token, now=NOW) == "zoe"
    assert "good until 2025-03-11 14:00" in out


def test_a_link_without_a_name_of_the_site_is_a_path(settings):
    settings.ALLOWED_HOSTS = ["*"]

    assert "\n/staff/welcome/" in run("make_staff", "zoe", "--invite")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["zoe lindqvist"], "letters, digits"),
        (["zoe", "--email", "zoe"], "not an e-mail address"),
        (["ADA"], "ada has an account already"),
        (["zoe", "--email", "ada@chem.example"], "ada has an account already"),
        (["zoe", "--name", "z" * 151], "Shorten the name"),
    ],
)
def test_an_account_that_cannot_be_made_is_refused_in_words(arguments, words):
    User.objects.create_user("ada", "ada@chem.example")

    with pytest.raises(CommandError, match=words):
        run("make_staff", *arguments)


def test_duties_are_given_and_taken():
    make_section()
    make_staff("ada", role=None)
    make_staff("ben")

    assert run("give_duty", "ada", "IRON-1", "--section", "A1") == (
        "ada assists section A1 now.\n"
    )
    assert "already" in run("give_duty", "ada", "IRON-1", "--section", "A1")
    assert "now" in run("give_duty", "ada", "IRON-1", "--coordinator")
    assert "no longer coordinates" in run("take_duty", "ben", "IRON-1", "--coordinator")
    assert "is not somebody who" in run("take_duty", "ben", "IRON-1", "--coordinator")
    assert set(Duty.objects.values_list("user__username", flat=True)) == {"ada"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["nobody", "IRON-1", "--coordinator"], "no account nobody"),
        (["ada", "IRON-2", "--coordinator"], "no course IRON-2"),
        (["ada", "IRON-1", "--section", "Z9"], "no section Z9"),
        (["ada", "IRON-1"], "required"),
        (["ada", "IRON-1", "--section", "A1", "--coordinator"], "not allowed"),
    ],
)
def test_a_duty_that_cannot_be_given_is_refused_in_words(arguments, words):
    make_section()
    make_staff("ada", role=None)

    with pytest.raises(CommandError, match=words):
        run("give_duty", *arguments)


def test_the_last_coordinator_is_not_taken_by_command():
    make_staff("ada")

    with pytest.raises(CommandError, match="without a coordinator"):
        run("take_duty", "ada", "IRON-1", "--coordinator")


def test_staff_are_listed_with_their_duties_and_their_way_in():
    section = make_section()
    make_staff("ada")
    make_staff("ben", role="assistant", section=section)
    run("make_staff", "cy", "--name", "Cy Marsh", "--invite")
    run("give_duty", "cy", "IRON-1", "--section", "A1")

    assert run("list_staff", "IRON-1").splitlines() == [
        "ada\t\tcoordinator\t\tpassword",
        "ben\t\tassistant\tA1\tpassword",
        "cy\tCy Marsh\tassistant\tA1\tlink",
    ]


def test_a_course_that_nobody_works_in_lists_nobody():
    the_course()

    assert run("list_staff", "IRON-1") == "Nobody works in IRON-1 yet.\n"
