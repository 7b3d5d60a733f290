"""Two who change a course's staff at once: it is never left alone."""

import pytest
from django.contrib.auth.models import User

from results.models import Duty, DutyNote, OutsideIdentity
from results.policy.refusals import NotFound
from results.policy.staffing import LinkNotGood, Person
from results.rosters.staff import give_duty, make_link, sign_on, take_duty, take_up
from tests.at_once import together
from tests.factories import NOW, PASSWORD, actor, make_staff

pytestmark = pytest.mark.django_db(transaction=True)


def test_of_two_coordinators_who_remove_each_other_one_stays():
    ada, ben = actor(make_staff("ada")), actor(make_staff("ben"))

    def removes(who, other):
        return lambda: take_duty("IRON-1", other, section="", actor=who, now=NOW)

    came = together(removes(ada, "ben"), removes(ben, "ada"))

    assert sorted(map(str, came)) == sorted(map(str, [True, NotFound]))
    assert Duty.objects.count() == 1


def test_a_duty_that_two_give_at_once_is_given_once():
    ada = actor(make_staff("ada"))
    make_staff("cy", role=None)

    def gives():
        return give_duty("IRON-1", "cy", section="", actor=ada, now=NOW)

    assert sorted(together(gives, gives)) == [False, True]
    assert DutyNote.objects.count() == 1


def test_a_link_that_two_use_at_once_sets_one_password():
    make_staff("ada")
    link = make_link("ada", now=NOW)

    def uses(password):
        return lambda: take_up(link.token, password=password, now=NOW).username

    came = together(uses(PASSWORD), uses("a-bath-wide-and-warm"))

    assert sorted(map(str, came)) == sorted(map(str, ["ada", LinkNotGood]))


def test_somebody_new_who_comes_twice_at_once_gets_one_account():
    zoe = Person("https://id.example", "1", "zoe", "", "", email_is_verified=False)

    def comes():
        return sign_on(zoe, make_accounts=True, now=NOW).username

    assert together(comes, comes) == ["zoe", "zoe"]
    assert User.objects.count() == OutsideIdentity.objects.count() == 1
