"""Differences between two versions of a protocol, in words."""

import copy

from results.policy.protocol_differences import differences
from tests.factories import protocol_document


def changed(change):
    """The differences that a change of the document makes."""
    after = copy.deepcopy(protocol_document())
    change(after)
    return differences(protocol_document(), after)


def test_a_document_does_not_differ_from_itself():
    assert differences(protocol_document(), protocol_document()) == ()


def test_a_number_is_told_with_what_it_was():
    told = changed(lambda d: d["standard"].update(mass_g=0.25))

    assert told == ("Mass of the salt, g: 0.21 → 0.25",)


def test_a_chain_is_told_as_a_whole():
    told = changed(lambda d: d["unknown"]["steps"][1].update(take_mL=20))

    assert told == (
        (
            "Chain of the unknown: make up to 250 mL, take 10 mL (pipette), make up to "
            "250 mL → make up to 250 mL, take 20 mL (pipette), make up to 250 mL"
        ),
    )


def test_tubes_come_go_and_change():
    def change(document):
        del document["standards"][0]
        document["standards"][0]["take_mL"] = 12
        document["unknown"]["tubes"].append(
            {"tube": "U3", "take_mL": 25, "make_up_mL": 100}
        )

    assert changed(change) == (
        "Standard 1 left out, formerly 5 mL (burette) to 100 mL",
        "Standard 2: 10 mL (burette) to 100 mL → 12 mL (burette) to 100 mL",
        "Unknown U3 added: 25 mL (pipette) to 100 mL",
    )


def test_reagents_cautions_and_limits_are_told():
    def change(document):
        document["reagents"][0]["volume_mL"] = 2
        document["reagents"].reverse()
        document["cautions"] = ["Wear gloves."]
        document["limits"] = {"percent_T": [0, 110]}
        document["use_blank"] = True

    told = changed(change)

    assert "Hydroxylammonium chloride, volume_mL: 1 → 2" in told
    assert "Caution left out: Wear goggles and gloves." in told
    assert "Caution added: Wear gloves." in told
    assert "Plausible values, percent_T: none → 0 to 110" in told
    assert "The blank as a point of the line: no → yes" in told
    assert any(one.startswith("Order of the reagents") for one in told)
