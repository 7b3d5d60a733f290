"""People and groups by hand: late joiners, changes of section, places."""

from datetime import timedelta

import pytest

from results import rosters
from results.models import Group, Membership, SheetDraft, Student
from results.policy.refusals import NotAdmitted, NotFound, NothingChosen
from results.policy.roster.refusals import CannotRoster
from tests.factories import NOW, actor, make_course, make_group, make_staff, make_vial
from tests.results.roster.courses import (
    at_the_bench,
    coordinator,
    enter,
    places,
)

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=2)


@pytest.fixture
def how(course):
    return {"actor": coordinator(course), "now": LATER}


def section(code):
    return Group._meta.get_field("section").related_model.objects.get(code=code).pk


def ids(*names):
    return set(Student.objects.filter(name__in=names).values_list("pk", flat=True))


def group(code):
    return Group.objects.get(code=code).pk


def add(how, **fields):
    person = {"name": "New Birk", "number": "9", **fields}
    return rosters.add_person("IRON-1", section("A1"), **person, **how)


def test_a_late_joiner_is_in_the_section_and_in_no_group(how):
    assert add(how, name="  New\nBirk ") == "New Birk"

    assert places()["New Birk"] == "A1 -"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": " "}, "Write the name"),
        ({"name": "x" * 121}, "Shorten the name"),
        ({"number": "x" * 61}, "Shorten the number"),
        ({"number": "0"}, "Ivo Marsh of section A1 has this number"),
        ({"name": "ivo marsh", "number": ""}, "Ivo Marsh is in section A1 already"),
    ],
)
def test_who_is_there_already_or_has_no_name_is_not_added(how, fields, words):
    with pytest.raises(NotAdmitted) as refused:
        add(how, **fields)

    assert words in refused.value.problems[0].message
    assert Student.objects.count() == 3


def test_a_namesake_with_a_number_of_their_own_is_added(how):
    add(how, name="Ivo Marsh", number="9")

    assert Student.objects.filter(name="Ivo Marsh").count() == 2


def test_a_change_of_section_ends_the_membership_and_leaves_the_work(how):
    before = at_the_bench()

    n = rosters.move_to_section("IRON-1", ids("Ivo Marsh"), section("A2"), **how)

    assert n == 1
    assert places()["Ivo Marsh"] == "A2 -"
    assert Membership.objects.get(student__name="Ivo Marsh").until == LATER
    assert at_the_bench() == before


def test_who_leaves_and_comes_back_is_in_no_group_then(how):
    rosters.let_leave("IRON-1", ids("Ivo Marsh"), **how)
    assert places()["Ivo Marsh"] == "left"

    assert rosters.let_return("IRON-1", ids("Ivo Marsh", "Ida Reed"), **how) == 1

    assert places() == {
        "Ivo Marsh": "A1 -",
        "Ida Reed": "A1 1",
        "Eva Voss": "A1 2",
    }


@pytest.mark.parametrize("deed", [rosters.let_leave, rosters.let_return])
def test_nobody_ticked_is_nobody_changed(how, deed):
    other = enter("Ivo Marsh", "0", make_course("IRON-2").sections.create(code="A1"))

    with pytest.raises(NothingChosen):
        deed("IRON-1", {other.pk}, **how)


def test_a_person_goes_from_group_to_group_and_both_are_kept_on_record(how):
    before = at_the_bench()

    rosters.move_to_group(
        "IRON-1", section("A1"), ids("Ivo Marsh"), group_id=group("2"), **how
    )

    was = Membership.objects.filter(student__name="Ivo Marsh").order_by("since")
    assert [(one.group.code, one.until) for one in was] == [("1", LATER), ("2", None)]
    assert places()["Ivo Marsh"] == "A1 2"
    assert at_the_bench() == before


def test_nobody_goes_into_a_group_of_another_section(how):
    other = make_group(
        Group.objects.first().section.course.sections.get(code="A2"), "9"
    )

    with pytest.raises(NotFound):
        rosters.move_to_group(
            "IRON-1", section("A1"), ids("Ivo Marsh"), group_id=other.pk, **how
        )


def test_a_group_is_made_at_the_next_place_with_who_is_ticked(how):
    Group.objects.filter(code="2").update(place=5)

    code = rosters.make_group(
        "IRON-1", section("A1"), code="", student_ids=ids("Eva Voss"), **how
    )

    assert code == "3"
    assert places()["Eva Voss"] == "A1 3"
    assert Group.objects.get(code="3").place == 6


@pytest.mark.parametrize(
    ("code", "words"), [("1", "has a group 1"), ("x" * 41, "Short")]
)
def test_a_group_has_a_code_of_its_own(how, code, words):
    with pytest.raises(CannotRoster, match=words):
        rosters.make_group("IRON-1", section("A1"), code=code, **how)


def dissolve(how, code):
    return rosters.dissolve_group(
        "IRON-1", section("A1"), group(code), actor=how["actor"]
    )


def test_an_empty_group_is_dissolved(how):
    rosters.make_group("IRON-1", section("A1"), code="9", **how)

    assert dissolve(how, "9") == "9"
    assert not Group.objects.filter(code="9").exists()


def test_a_group_with_people_work_or_a_vials_history_stays(how):
    with pytest.raises(CannotRoster, match="is not empty"):
        dissolve(how, "2")
    rosters.let_leave("IRON-1", ids("Ivo Marsh", "Ida Reed", "Eva Voss"), **how)
    with pytest.raises(CannotRoster, match="has submissions"):
        dissolve(how, "1")
    SheetDraft.objects.create(group_id=group("2"))
    with pytest.raises(CannotRoster, match="has begun its sheet"):
        dissolve(how, "2")
    SheetDraft.objects.all().delete()
    make_vial(Group.objects.get(code="1").issues.get().vial.lot, "999", group=None)
    issued = make_vial(
        Group.objects.get(code="1").issues.get().vial.lot,
        "998",
        group=Group.objects.get(code="2"),
    )
    with pytest.raises(CannotRoster, match="held a vial"):
        dissolve(how, "2")

    assert issued.issues.count() == 1


def test_groups_change_places(how):
    pair = {group("1"): 2, group("2"): 1}
    rosters.set_places("IRON-1", section("A1"), pair, actor=how["actor"])

    rosters.set_places(
        "IRON-1", section("A1"), {group("1"): 1, group("2"): 2}, actor=how["actor"]
    )

    assert sorted(Group.objects.values_list("code", "place")) == [("1", 1), ("2", 2)]


@pytest.mark.parametrize(
    ("places_", "words"),
    [
        ((1, 1), "cannot both stand at place 1"),
        ((0, 1), "from 1 to"),
        ((1, 1000), "1 to"),
    ],
)
def test_two_groups_do_not_stand_at_one_place(how, places_, words):
    chosen = dict(zip((group("1"), group("2")), places_, strict=True))

    with pytest.raises(CannotRoster, match=words):
        rosters.set_places("IRON-1", section("A1"), chosen, actor=how["actor"])

    assert set(Group.objects.values_list("place", flat=True)) == {None}


def test_only_coordinators_change_people_and_groups(how):
    ben = actor(make_staff("ben", role="assistant"))

    for deed in (
        lambda: add({**how, "actor": ben}),
        lambda: rosters.let_leave("IRON-1", ids("Ivo Marsh"), actor=ben, now=NOW),
        lambda: rosters.make_group(
            "IRON-1", section("A1"), code="9", actor=ben, now=NOW
        ),
        lambda: dissolve({"actor": ben}, "2"),
    ):
        with pytest.raises(NotFound):
            deed()
