"""The steps of preparing a course: their order, their states, their addresses."""

from dataclasses import replace

import pytest

from frontend.preparing.steps import STEPS, steps_of
from results.policy.access import IronShown
from results.summaries.preparing.hub import PreparedCourse

READY = PreparedCourse(
    course="IRON-1",
    title="Iron",
    term="",
    protocol_version=2,
    scheme_version=1,
    iron_shown=IronShown.AFTER_DUE,
    own_answer_first=True,
    n_stations=40,
    n_in_service=39,
    n_sections=6,
    n_sections_without_groups=0,
    n_open_from_start=0,
    n_without_due=0,
    first_opens_at=None,
    n_groups=72,
    n_groups_without_vial=0,
    n_groups_without_slip=0,
    n_lots=3,
    n_lots_without_value=0,
    n_vials=96,
    n_students=140,
    n_students_without_group=0,
    n_coordinators=1,
    n_assistants=4,
    n_sections_without_assistant=0,
)


def lines(**changes):
    return {step.title: step.state for step in steps_of(replace(READY, **changes))}


def test_a_course_that_is_ready_misses_nothing():
    assert {state.word for state in lines().values()} == {"ready"}
    assert lines()["Protocol"].line == "version 2 is in force"
    assert lines()["Stations"].line == "40 stations, 1 out of service"
    assert lines()["Sections"].line == "6 sections, 72 groups"


@pytest.mark.parametrize(
    ("changes", "step", "missing"),
    [
        ({"protocol_version": 0}, "Protocol", "a protocol: nothing can be read"),
        ({"n_in_service": 0}, "Stations", "a station in service"),
        ({"n_lots": 0}, "Lots", "lots of unknown material"),
        ({"n_lots_without_value": 1}, "Lots", "a value of every lot"),
        ({"n_vials": 0}, "Vials", "vials"),
        ({"n_vials": 71}, "Vials", "1 more vial"),
        ({"n_sections": 0}, "Sections", "sections"),
        ({"n_sections_without_groups": 2}, "Sections", "groups in 2 sections"),
        ({"n_students_without_group": 5}, "Groups", "a group for 5 students"),
        ({"n_groups_without_vial": 12}, "Issuing", "a vial for 12 groups"),
        ({"n_groups_without_slip": 72}, "Paper", "a slip for 72 groups"),
    ],
)
def test_what_keeps_the_first_student_from_working_is_missing(changes, step, missing):
    found = {title: s for title, s in lines(**changes).items() if s.missing}

    assert list(found) == [step]
    assert found[step].missing.startswith(missing)
    assert found[step].word == "missing"


@pytest.mark.parametrize(
    ("changes", "step"),
    [
        ({"scheme_version": 0}, "Grading scheme"),
        ({"n_students": 0}, "Roster"),
        ({"n_sections_without_assistant": 1}, "Staff"),
    ],
)
def test_what_keeps_nobody_from_working_can_wait(changes, step):
    assert lines(**changes)[step].word == "can wait"


def test_times_that_are_left_open_are_said():
    found = lines(n_open_from_start=2, n_without_due=1)["Sections"]

    assert found.line.endswith("2 open from the start, 1 without a due time")
    assert found.word == "ready"


def test_every_step_has_a_page_of_its_own():
    pages = [step.page for step in STEPS]

    assert len(pages) == len(set(pages))
