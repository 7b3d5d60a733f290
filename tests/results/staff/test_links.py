"""Links with which people set a password: made, used once, ended."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User

from results.models import Duty, DutyNote, Invitation, OutsideIdentity
from results.policy.refusals import NotAdmitted, NotFound
from results.policy.staffing import AccountExists, LinkNotGood, NoLink
from results.rosters.staff import (
    invite,
    make_link,
    open_link,
    renew_link,
    take_duty,
    take_up,
    withdraw_link,
)
from tests.factories import (
    NOW,
    PASSWORD,
    actor,
    make_course,
    make_section,
    make_staff,
)

pytestmark = pytest.mark.django_db
WEEK = timedelta(days=7)


@pytest.fixture
def ada():
    make_section()
    return actor(make_staff("ada"))


@pytest.fixture
def link(ada):
    """Zoe was invited to assist A1."""
    return invited(ada)


def invited(who, typed="zoe", *, name="Zoe Lindqvist", section="A1"):
    return invite("IRON-1", typed, name=name, section=section, actor=who, now=NOW)


def renewed(who, user):
    return renew_link("IRON-1", user.pk, actor=who, now=NOW)


def test_an_invitation_makes_an_account_a_duty_and_a_link(link):
    zoe = User.objects.get(username="zoe")

    assert zoe.get_full_name() == "Zoe Lindqvist"
    assert not zoe.has_usable_password()
    assert zoe.duties.get().section.code == "A1"
    assert link.expires_at == NOW + WEEK


def test_the_link_is_kept_as_a_digest_only(link):
    kept = Invitation.objects.values().get()

    assert link.token not in str(kept)
    assert len(kept["digest"]) == 64


def test_whoever_has_the_link_sets_the_password(link):
    user = take_up(link.token, password=PASSWORD, now=NOW)

    assert user.username == "zoe"
    assert User.objects.get(username="zoe").check_password(PASSWORD)


def test_a_link_works_once(link):
    take_up(link.token, password=PASSWORD, now=NOW)

    with pytest.raises(LinkNotGood):
        take_up(link.token, password="another-good-one", now=NOW)

    assert User.objects.get(username="zoe").check_password(PASSWORD)


def test_a_link_works_for_a_week(link):
    assert open_link(link.token, now=NOW + WEEK - timedelta(seconds=1)) == "zoe"

    with pytest.raises(LinkNotGood):
        open_link(link.token, now=NOW + WEEK)


@pytest.mark.parametrize("token", ["", "x", "zoe", "\x00", "é" * 40])
def test_what_is_no_link_opens_nothing(link, token):
    with pytest.raises(LinkNotGood):
        open_link(token, now=NOW)


@pytest.mark.parametrize(
    "password", ["", "short", "12345678901", "password", "zoe-lindqvist"]
)
def test_a_password_that_is_easy_to_guess_leaves_the_link_good(link, password):
    with pytest.raises(NotAdmitted):
        take_up(link.token, password=password, now=NOW)

    assert take_up(link.token, password=PASSWORD, now=NOW)


def test_a_withdrawn_link_opens_nothing(ada, link):
    zoe = User.objects.get(username="zoe")

    assert withdraw_link("IRON-1", zoe.pk, actor=ada, now=NOW)
    assert not withdraw_link("IRON-1", zoe.pk, actor=ada, now=NOW)

    with pytest.raises(LinkNotGood):
        open_link(link.token, now=NOW)


def test_a_new_link_ends_the_former(ada, link):
    other = renewed(ada, User.objects.get(username="zoe"))

    with pytest.raises(LinkNotGood):
        open_link(link.token, now=NOW)
    assert open_link(other.token, now=NOW) == "zoe"


def test_a_new_link_resets_a_forgotten_password(ada, link):
    take_up(link.token, password=PASSWORD, now=NOW)

    other = renewed(ada, User.objects.get(username="zoe"))
    take_up(other.token, password="a-bath-wide-and-warm", now=NOW)

    assert User.objects.get(username="zoe").check_password("a-bath-wide-and-warm")


def test_a_closed_account_is_not_opened_by_a_link(link):
    User.objects.filter(username="zoe").update(is_active=False)

    with pytest.raises(LinkNotGood):
        open_link(link.token, now=NOW)


def test_who_has_no_duty_left_has_no_link_left(ada, link):
    take_duty("IRON-1", "zoe", section="A1", actor=ada, now=NOW)

    with pytest.raises(LinkNotGood):
        open_link(link.token, now=NOW)


def test_an_address_is_a_user_name_too(ada):
    invited(ada, "Zoe@Chem.Example")

    user = User.objects.get(username="zoe@chem.example")
    assert user.email == "zoe@chem.example"


@pytest.mark.parametrize("typed", ["ada", "ADA", "ada@chem.example"])
def test_who_has_an_account_is_not_invited(ada, typed):
    User.objects.update(email="ada@chem.example")

    with pytest.raises(AccountExists):
        invited(ada, typed)


@pytest.mark.parametrize("typed", ["", "zoe lindqvist", "zoe@", "@", "z" * 151, "<b>"])
def test_a_name_that_cannot_be_used_invites_nobody(ada, typed):
    with pytest.raises(NotAdmitted):
        invited(ada, typed)

    assert User.objects.count() == 1


def test_an_invitation_to_no_section_makes_no_account(ada):
    with pytest.raises(NotAdmitted):
        invited(ada, section="Z9")

    assert not User.objects.filter(username="zoe").exists()
    assert not DutyNote.objects.exists()


# Whoever has a link can be that person: none may reach further than its maker.
def test_nobody_resets_the_password_of_somebody_with_other_courses(ada, link):
    zoe = User.objects.get(username="zoe")
    Duty.objects.create(user=zoe, course=make_course("IRON-2"), role="coordinator")

    with pytest.raises(NoLink):
        renewed(ada, zoe)


@pytest.mark.parametrize("field", ["is_staff", "is_superuser"])
def test_nobody_resets_the_password_of_the_servers_keeper(ada, link, field):
    User.objects.filter(username="zoe").update(**{field: True})

    with pytest.raises(NoLink):
        renewed(ada, User.objects.get(username="zoe"))


def test_who_signs_in_at_the_college_needs_no_password(ada, link):
    zoe = User.objects.get(username="zoe")
    OutsideIdentity.objects.create(
        user=zoe, issuer="https://id.example", subject="1", linked_at=NOW
    )

    with pytest.raises(NoLink):
        renewed(ada, zoe)


def test_nobody_makes_a_link_for_themselves(ada):
    with pytest.raises(NoLink):
        renewed(ada, User.objects.get(username="ada"))


def test_a_link_is_for_the_staff_of_the_course_only(ada):
    stranger = make_staff("cy", role=None)

    with pytest.raises(NotFound):
        renewed(ada, stranger)
    with pytest.raises(NotFound):
        withdraw_link("IRON-1", stranger.pk, actor=ada, now=NOW)


def test_only_coordinators_invite(ada):
    ben = actor(make_staff("ben", role="assistant"))

    with pytest.raises(NotFound):
        invited(ben)


def test_the_servers_keeper_makes_a_link_for_anybody(ada):
    assert open_link(make_link("ada", now=NOW).token, now=NOW) == "ada"

    with pytest.raises(NotFound):
        make_link("nobody", now=NOW)


def test_the_history_knows_of_links(ada, link):
    zoe = User.objects.get(username="zoe")
    withdraw_link("IRON-1", zoe.pk, actor=ada, now=NOW)
    take_up(renewed(ada, zoe).token, password=PASSWORD, now=NOW)

    kept = DutyNote.objects.order_by("pk").values_list("deed", "by_name")
    assert list(kept) == [
        ("given", "ada"),
        ("link_made", "ada"),
        ("link_withdrawn", "ada"),
        ("link_made", "ada"),
        ("link_used", "zoe"),
    ]
