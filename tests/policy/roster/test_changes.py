"""What a roster changes: who is who, who is new, moves, leaves, comes back."""

import pytest

from results.policy.roster.changes import plan_roster
from results.policy.roster.matching import Outside
from tests.policy.roster.rosters import entries_of, plan_of, state_of

IVO = ("Ivo Marsh", "7", "A1", "1")
IDA = ("Ida Marsh", "", "A1", "1")


def test_who_is_not_there_yet_is_new():
    plan = plan_of(state_of(IVO), "Eva Voss,8,A2,")

    assert plan.lines == ("Eva Voss (8) is new in section A2.",)


def test_a_roster_that_says_what_the_course_says_changes_nothing():
    plan = plan_of(state_of(IVO, IDA), "Ivo Marsh,7,A1,", "ida  marsh,,A1,1")

    assert plan.lines == ("Ida Marsh: is written ida marsh.",)
    assert plan.n_stay == 1


def test_who_changes_section_leaves_the_group():
    plan = plan_of(state_of(IVO), "Ivo Marsh,7,A2,")

    (change,) = plan.of("moves")
    assert (change.after.section, change.after.group) == ("A2", "")
    assert plan.of("regroups") == ()
    assert plan.lines == (
        "Ivo Marsh (7): goes from section A1 to A2, group 1 becomes none.",
    )


def test_a_number_is_the_person_whatever_the_name():
    plan = plan_of(state_of(IVO), "Ivo Marsh-Reed,7,A1,")

    (change,) = plan.of("is_renamed")
    assert change.after.group == "1"


def test_a_name_without_a_number_is_the_person_and_gets_its_number():
    plan = plan_of(state_of(IDA), "Ida Marsh,9,A1,")

    assert plan.lines == ("Ida Marsh: gets the number 9.",)


def test_a_number_on_record_is_not_taken_away_by_a_file_without_numbers():
    plan = plan_of(state_of(IVO), "Ivo Marsh,,A1,")

    assert (plan.lines, plan.n_stay) == ((), 1)


def test_another_number_is_another_person_and_the_likeness_is_pointed_out():
    plan = plan_of(state_of(("Ivo Marsh", "007", "A1", "1")), "Ivo Marsh,7,A1,")

    assert len(plan.new) == 1
    assert "beside Ivo Marsh (007), section A1" in plan.doubts[0]


def test_nobody_leaves_unless_the_roster_is_whole():
    state = state_of(IVO, IDA)

    assert plan_of(state, "Ivo Marsh,7,A1,").lines == ()
    assert plan_of(state, "Ivo Marsh,7,A1,", whole=True).lines == (
        "Ida Marsh leaves section A1 and group 1.",
    )


def test_a_whole_roster_of_one_section_lets_nobody_of_another_leave():
    state = state_of(IVO, ("Eva Voss", "8", "A2", ""))
    entries = entries_of("Ivo Marsh,7", head="name,number", section="A1")

    plan = plan_roster(state, entries, whole=True, only_section="A1")

    assert plan.lines == ()


def test_many_who_would_leave_at_once_are_pointed_out():
    people = [(f"Person {n}", str(n), "A1", "") for n in range(10)]

    plan = plan_of(state_of(*people), "Person 1,1,A1,", whole=True)

    assert plan.doubts == ("9 of 10 people would leave. Is it the right file?",)


def test_who_left_comes_back_into_no_group():
    plan = plan_of(state_of(("Ivo Marsh", "7", "A1", "left")), "Ivo Marsh,7,A1,")

    assert plan.lines == ("Ivo Marsh (7): comes back.",)


def test_a_group_that_the_file_names_is_joined_and_made_if_missing():
    plan = plan_of(state_of(IVO), "Ivo Marsh,7,A1,2", "Eva Voss,8,A2,9")

    assert plan.new_groups == (("A2", "9"),)
    assert "Ivo Marsh (7): group 1 becomes 2." in plan.lines


def test_one_of_two_people_of_a_name_is_found_by_the_section():
    state = state_of(IDA, ("Ida Marsh", "", "A2", ""))

    assert plan_of(state, "Ida Marsh,9,A2,").of("gets_number")[0].before.pk == 2


@pytest.mark.parametrize(
    "rows",
    [("Ida Marsh,9,Q9,",), ("Ida Marsh,9,A1,", "Ida Marsh,,A1,")],
    ids=["two people", "two rows"],
)
def test_who_could_be_two_people_is_asked_for_a_number(rows):
    others = (("Ida Marsh", "", "A2", ""),) if len(rows) == 1 else ()

    plan = plan_of(state_of(IDA, *others), *rows, outside=Outside.MAKE)

    assert "number" in plan.problems[0].message
    assert plan.problems[0].row == 1 + len(rows)


def test_the_mark_changes_with_people_groups_and_sections():
    marks = {
        state_of().mark,
        state_of(IVO).mark,
        state_of(IDA).mark,
        state_of(groups={"A1": frozenset({"1"})}).mark,
        state_of(groups={"A3": frozenset()}).mark,
    }

    assert len(marks) == 5
