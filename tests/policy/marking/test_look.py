"""What makes a person look before accepting, and what does not."""

import pytest

from results.policy.marking import Noticed, reasons_to_look
from results.policy.visits import State


def reasons(*noticed, state=State.COMPUTED, error_percent=1.0):
    return reasons_to_look(state, noticed, error_percent=error_percent)


@pytest.mark.parametrize(
    ("noticed", "expected"),
    [
        (Noticed("tube_off", 0.9), ("One standard off the line",)),
        (Noticed("tube_off", 0.3), ()),
        (Noticed("other_lot", 0.9), ("Agrees with another lot",)),
        (Noticed("other_lot", 0.3), ()),
        (Noticed("same_readings", 0.2), ("Same readings in several groups",)),
        (Noticed("meter_scale", 0.99), ()),
        (Noticed("nominal_mass", 0.99), ()),
        (Noticed("worked_dilution_skipped", 0.99), ()),
        (Noticed("worked_unexplained", 0.2), ("This step does not follow",)),
        (Noticed("worked_unexplained", 0.9, harmless=True), ()),
    ],
)
def test_a_finding_that_touches_the_grade_makes_one_look(noticed, expected):
    assert reasons(noticed) == expected


@pytest.mark.parametrize(
    ("state", "expected"),
    [
        (State.NOT_SENT, ("Nothing received",)),
        (State.WAITING, ("Still being computed",)),
        (State.PARKED, ("Could not be computed",)),
        (State.NO_ANSWER, ("No answer",)),
        (State.COMPUTED, ()),
    ],
)
def test_a_state_without_an_answer_makes_one_look(state, expected):
    assert reasons(state=state, error_percent=None) == expected


def test_an_answer_far_off_without_a_finding_makes_one_look():
    assert reasons(error_percent=-10.5) == ("Far off, nothing found",)
    assert reasons(error_percent=10.0) == ()
