"""Programs of staff follow an answer as its pages do."""

import pytest

from tests import factories


@pytest.fixture
def computed(bench):
    factories.submit(bench.group)
    factories.worked_off()
    return bench


@pytest.fixture
def assistant(program, computed):
    factories.make_staff("bo", role="assistant", section=computed.section)
    return program.as_staff("bo")


def test_the_steps_of_an_answer_end_at_its_interval(assistant, computed):
    told = assistant.see(f"groups/{computed.group.pk}/computation").json()

    last = told["parts"][-1]["steps"][-2:]
    assert [step["value"] for step in last] == pytest.approx(
        [told["low"], told["high"]]
    )
    assert sum(one["share"] for one in told["sources"]) == pytest.approx(1)


def test_a_check_has_one_edge_more_than_counts(assistant, computed):
    told = assistant.see(f"groups/{computed.group.pk}/computation/check").json()

    assert len(told["edges"]) == len(told["counts"]) + 1
    assert told["trials"] + told["failed"] == 100_000
    assert told["mean"] == pytest.approx(12.0, abs=0.1)


def test_assistants_read_the_tolerances_of_their_course(assistant):
    told = assistant.see("courses/IRON-1/tolerances").json()

    assert "100 mL flask" in {one["item"] for one in told["tolerances"]}


@pytest.mark.parametrize("path", ["computation", "computation/check"])
def test_a_group_of_another_section_is_not_there(assistant, computed, path):
    other = factories.make_section(computed.course, "B1")
    group = factories.make_group(other, "1")
    factories.submit(group)
    factories.worked_off()

    assert assistant.see(f"groups/{group.pk}/{path}").status_code == 404
