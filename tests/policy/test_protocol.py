"""What the bench reads from a protocol besides its scheme."""

import pytest

from results.policy.protocol import read_protocol
from results.policy.refusals import NotAdmitted
from tests.factories import protocol_document


def reagents_of(*reagents):
    return read_protocol(protocol_document(reagents=list(reagents))).reagents


def test_reagents_keep_their_order_with_what_to_wait_for_and_to_mind():
    reductant = {
        "name": "reductant",
        "volume_mL": 1,
        "wait_min": 5,
        "caution": "Harms.",
    }
    ligand = {"name": "ligand", "volume_mL": 3, "note": "Mix."}

    first, second = reagents_of(reductant, ligand)

    assert (first.name, first.wait_min, first.caution) == ("reductant", 5, "Harms.")
    assert (second.name, second.wait_min, second.note) == ("ligand", 0, "Mix.")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"volume_mL": 0}, "/reagents/0"),
        ({"name": 7}, "/reagents/0"),
        ({"wait_min": "five"}, "/reagents/0/wait_min"),
        ({"wait_min": -1}, "/reagents/0/wait_min"),
    ],
)
def test_a_reagent_that_cannot_be_read_is_named(change, pointer):
    with pytest.raises(NotAdmitted) as refused:
        reagents_of({"name": "ligand", "volume_mL": 3} | change)

    assert [problem.pointer for problem in refused.value.problems] == [pointer]


def test_a_colour_waits_fifteen_minutes_unless_the_protocol_says_otherwise():
    document = protocol_document()
    del document["develop_min"]

    assert read_protocol(document).develop_min == 15
    assert read_protocol(document | {"develop_min": 10}).develop_min == 10
