"""Who sees what, and when."""

from datetime import UTC, datetime, timedelta

import pytest

from results.policy.access import IronShown, Rights, iron_is_shown
from results.policy.visits import State, reason_in_words, visit

NOW = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)
BEFORE, AFTER = NOW - timedelta(hours=1), NOW + timedelta(hours=1)


@pytest.mark.parametrize(
    ("policy", "due_at", "released_at", "is_shown"),
    [
        (IronShown.AT_ONCE, AFTER, None, True),
        (IronShown.AFTER_DUE, AFTER, None, False),
        (IronShown.AFTER_DUE, BEFORE, None, True),
        (IronShown.AFTER_DUE, None, None, False),
        (IronShown.ON_RELEASE, BEFORE, None, False),
        (IronShown.ON_RELEASE, BEFORE, AFTER, False),
        (IronShown.ON_RELEASE, BEFORE, BEFORE, True),
        (IronShown.AFTER_DUE, AFTER, BEFORE, True),
    ],
)
def test_the_course_decides_when_a_group_sees_its_iron(
    policy, due_at, released_at, is_shown
):
    shown = iron_is_shown(policy, now=NOW, due_at=due_at, released_at=released_at)

    assert shown is is_shown


def test_an_assistant_sees_their_sections_only():
    rights = Rights(assisted=frozenset({3}), assisting=frozenset({1}))

    assert rights.may_see_section(3, 1)
    assert not rights.may_see_section(4, 1)
    assert rights.may_list_course(1)
    assert not rights.may_see_course(1)


def test_a_coordinator_sees_the_whole_course():
    rights = Rights(coordinated=frozenset({1}))

    assert rights.may_see_section(4, 1)
    assert rights.may_see_course(1)
    assert rights.may_see_assigned(4, 1, assistants_see_assigned=False)


@pytest.mark.parametrize("allowed", [True, False])
def test_assistants_see_assigned_values_if_the_course_allows(allowed):
    rights = Rights(assisted=frozenset({3}))

    seen = rights.may_see_assigned(3, 1, assistants_see_assigned=allowed)

    assert seen is allowed


def test_nobody_else_sees_anything():
    assert not Rights().may_see_section(3, 1)
    assert not Rights().may_see_assigned(3, 1, assistants_see_assigned=True)


def test_groups_without_an_answer_come_before_those_with_a_finding():
    urgencies = [
        visit(State.PARKED).urgency,
        visit(State.COMPUTED, top_finding="A tube is off", recovery=1.2).urgency,
        visit(State.COMPUTED, top_finding="A tube is off").urgency,
        visit(State.COMPUTED, recovery=1.07).urgency,
        visit(State.NOT_SENT).urgency,
        visit(State.COMPUTED, recovery=1.01).urgency,
    ]

    assert urgencies == sorted(urgencies, reverse=True)
    assert urgencies[-1] == 0


def test_a_visit_says_why():
    why = visit(State.NO_ANSWER, reason="line_not_rising").why

    assert why == reason_in_words("line_not_rising")
    assert reason_in_words("") == ""
    assert "no answer" in reason_in_words("something new")
