"""Who works in a course: given, taken, noted, and never nobody."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.db import DatabaseError, connection, transaction

from results.models import Duty, DutyNote
from results.models.append_only import AppendOnly
from results.policy.refusals import NotAdmitted, NotFound
from results.policy.staffing import LastCoordinator, NoSuchPerson, SeveralPeople
from results.rosters.staff import give_duty, keeper, take_duty
from results.summaries.rights import rights_of
from tests.factories import (
    NOW,
    actor,
    make_course,
    make_section,
    make_staff,
    the_course,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def ada():
    return actor(make_staff("ada"))


@pytest.fixture
def ben():
    return User.objects.create_user("ben", "ben@chem.example")


def give(who, person="ben", section="", minutes=0):
    now = NOW + timedelta(minutes=minutes)
    return give_duty("IRON-1", person, section=section, actor=who, now=now)


def take(who, person="ben", section="", minutes=0):
    now = NOW + timedelta(minutes=minutes)
    return take_duty("IRON-1", person, section=section, actor=who, now=now)


def test_a_coordinator_gives_and_takes_a_section(ada, ben):
    section = make_section()

    given = give(ada, section="A1")
    assisted = rights_of(ben.pk).assisted
    taken = take(ada, section="A1")

    assert (given, taken) == (True, True)
    assert assisted == {section.pk}
    assert rights_of(ben.pk).assisted == frozenset()


def test_doing_it_twice_changes_nothing(ada, ben):
    assert give(ada)
    assert not give(ada)
    assert take(ada)
    assert not take(ada)

    assert DutyNote.objects.count() == 2


@pytest.mark.parametrize(
    "typed", ["ben", "BEN", " ben ", "ben@chem.example", "Ben@Chem.Example"]
)
def test_people_are_found_by_user_name_or_address(ada, ben, typed):
    give(ada, typed)

    assert ben.duties.get().role == "coordinator"


@pytest.mark.parametrize("typed", ["", "be", "nobody", "ben@", "ben\x00"])
def test_somebody_who_is_not_there_gets_no_duty(ada, ben, typed):
    if typed == "ben\x00":
        assert give(ada, typed)
        return
    with pytest.raises(NoSuchPerson):
        give(ada, typed)


def test_an_address_that_two_share_names_nobody(ada, ben):
    User.objects.create_user("ben2", "ben@chem.example")

    with pytest.raises(SeveralPeople):
        give(ada, "ben@chem.example")


def test_a_user_name_counts_before_its_capitals(ada, ben):
    other = User.objects.create_user("Ben")

    give(ada, "Ben")

    assert other.duties.exists()
    assert not ben.duties.exists()


def test_a_closed_account_gets_no_duty(ada, ben):
    User.objects.filter(pk=ben.pk).update(is_active=False)

    with pytest.raises(NotAdmitted):
        give(ada)


def test_a_section_of_another_course_is_none(ada, ben):
    make_section(make_course("IRON-2"), "Z9")

    with pytest.raises(NotAdmitted):
        give(ada, section="Z9")


def test_the_last_coordinator_stays(ada):
    with pytest.raises(LastCoordinator):
        take(ada, "ada")

    assert Duty.objects.get().user.username == "ada"


def test_a_coordinator_may_go_once_there_is_another(ada, ben):
    give(ada)

    assert take(ada, "ada")


def test_a_closed_account_does_not_count_as_a_coordinator(ada, ben):
    give(ada)
    User.objects.filter(pk=ben.pk).update(is_active=False)

    with pytest.raises(LastCoordinator):
        take(ada, "ada")


def test_who_was_removed_meanwhile_removes_nobody(ada, ben):
    give(ada)
    give(ada, make_staff("cy", role=None).username)
    stale = actor(ben)
    take(ada)

    with pytest.raises(NotFound):
        take(stale, "ada")


@pytest.mark.parametrize("role", ["assistant", None])
def test_only_coordinators_give_and_take(ada, ben, role):
    make_section()
    other = actor(make_staff("dee", role=role))

    for act in (give, take):
        with pytest.raises(NotFound):
            act(other)


def test_a_coordinator_of_one_course_gives_nothing_in_another(ada, ben):
    make_course("IRON-2")

    with pytest.raises(NotFound):
        give_duty("IRON-2", "ben", section="", actor=ada, now=NOW)


def test_the_keeper_appoints_where_nobody_coordinates(ben):
    the_course()

    assert give(keeper("IRON-1"))
    assert rights_of(ben.pk).coordinated


def test_the_history_says_who_did_what(ada, ben):
    make_section()
    give(ada, section="A1")
    take(keeper("IRON-1"), section="A1", minutes=1)

    kept = DutyNote.objects.order_by("at").values_list(
        "deed", "person_name", "role", "section_code", "by_name", "by"
    )
    assert list(kept) == [
        ("given", "ben", "assistant", "A1", "ada", ada.user_id),
        ("taken", "ben", "assistant", "A1", "the server’s keeper", None),
    ]


def test_the_history_is_never_changed(ada, ben):
    give(ada)

    with pytest.raises(AppendOnly):
        DutyNote.objects.update(by_name="nobody")
    with pytest.raises(AppendOnly):
        DutyNote.objects.get().delete()
    with (
        pytest.raises(DatabaseError, match="duty_note_append_only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("UPDATE results_dutynote SET by_name = 'nobody'")


def test_the_history_goes_with_its_course(ada, ben):
    give(ada)

    the_course().delete()

    assert not DutyNote.objects.exists()
