"""Whose account it is that somebody from the college comes into."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User

from results.models import Invitation, OutsideIdentity
from results.policy.staffing import Person, UnknownPerson
from results.rosters.staff import make_link, sign_on
from tests.factories import NOW, make_staff

pytestmark = pytest.mark.django_db
LET_IN = ("chem.example",)


def person(**changes):
    given = {
        "issuer": "https://id.example",
        "subject": "248289761001",
        "username": "zoe",
        "name": "Zoe Lindqvist",
        "email": "zoe@chem.example",
        "email_is_verified": True,
    }
    return Person(**given | changes)


def account(username="zoe", email="zoe@chem.example", **fields):
    return User.objects.create_user(username, email, **fields)


def met(one=None, **how):
    return sign_on(one or person(), now=NOW, **how)


def unknown(one=None, **how):
    with pytest.raises(UnknownPerson):
        met(one, **how)
    return not OutsideIdentity.objects.exists()


def test_an_address_that_is_made_sure_of_finds_its_account():
    zoe = account(email="Zoe@Chem.Example")

    assert met(domains=LET_IN) == zoe


def test_from_then_on_the_subject_counts_and_no_address():
    zoe = account()
    met(domains=LET_IN)
    account("other", "new@chem.example")

    assert met(person(email="new@chem.example", username="other")) == zoe


@pytest.mark.parametrize(
    ("changes", "domains"),
    [
        ({"email_is_verified": False}, LET_IN),
        ({}, ()),
        ({}, ("hem.example",)),
        ({}, ("example",)),
        ({"email": "zoe@chem.example.elsewhere.example"}, LET_IN),
        ({"email": ""}, LET_IN),
        ({"email": "chem.example"}, ("",)),
    ],
)
def test_another_address_finds_nobody(changes, domains):
    account(email=changes.get("email", "zoe@chem.example"))

    assert unknown(person(**changes), domains=domains)


def test_a_user_name_alone_finds_nobody():
    account(email="")

    assert unknown(domains=LET_IN)


def test_an_address_that_two_accounts_have_finds_neither():
    account()
    account("other")

    assert unknown(domains=LET_IN)


@pytest.mark.parametrize("field", ["is_staff", "is_superuser"])
def test_no_address_finds_the_servers_keeper(field):
    account(**{field: True})

    assert unknown(domains=LET_IN)


def test_an_account_belongs_to_one_person_of_the_college():
    account()
    met(domains=LET_IN)

    with pytest.raises(UnknownPerson):
        met(person(subject="2"), domains=LET_IN)


def test_the_same_subject_of_another_issuer_is_somebody_else():
    account()
    met(domains=LET_IN)

    with pytest.raises(UnknownPerson):
        met(person(issuer="https://other.example"))


def test_a_link_says_who_somebody_is():
    ada = make_staff("ada")

    assert met(token=make_link("ada", now=NOW).token) == ada
    assert Invitation.objects.get().used_at == NOW


def test_a_link_that_is_too_old_says_nothing():
    make_staff("ada")
    link = make_link("ada", now=NOW - timedelta(days=7))

    assert unknown(token=link.token)


def test_a_link_of_somebody_who_is_known_gives_nobody_their_account():
    account()
    met(domains=LET_IN)
    link = make_link("zoe", now=NOW)

    with pytest.raises(UnknownPerson):
        met(person(subject="2"), token=link.token)


def test_who_is_known_keeps_their_account_whatever_link_they_hold():
    zoe = account()
    met(domains=LET_IN)
    make_staff("ada")

    assert met(token=make_link("ada", now=NOW).token) == zoe


def test_the_unknown_get_accounts_where_the_site_makes_them():
    user = met(make_accounts=True)

    assert (user.username, user.first_name, user.email) == (
        "zoe",
        "Zoe Lindqvist",
        "zoe@chem.example",
    )
    assert not user.has_usable_password()
    assert not user.duties.exists()


def test_an_address_that_nobody_made_sure_of_is_not_kept():
    assert met(person(email_is_verified=False), make_accounts=True).email == ""


def test_where_domains_are_named_only_theirs_get_accounts():
    assert unknown(
        person(email="zoe@elsewhere.example"), domains=LET_IN, make_accounts=True
    )
    assert met(domains=LET_IN, make_accounts=True)


def test_a_namesake_gets_an_account_of_their_own():
    account("Zoe", "")
    account("zoe-2", "")

    assert met(make_accounts=True).username == "zoe-3"


@pytest.mark.parametrize("username", ["", "z" * 400])
def test_any_name_can_be_made_a_user_name(username):
    assert 0 < len(met(person(username=username), make_accounts=True).username) <= 150


def test_a_closed_account_stays_closed():
    account()
    met(domains=LET_IN)
    User.objects.update(is_active=False)

    with pytest.raises(UnknownPerson):
        met()
