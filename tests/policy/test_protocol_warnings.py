"""Warnings about a protocol: one for each thing that a coordinator may have missed."""

import pytest

from results.policy.protocol import read_protocol
from results.policy.protocol_start import protocol_to_start_from
from results.policy.protocol_warnings import LotContent, protocol_warnings
from tests.factories import protocol_document

REAGENTS = [
    {"name": "hydroxylammonium chloride", "volume_mL": 1, "role": "reductant"},
    {"name": "phenanthroline", "volume_mL": 3, "role": "ligand"},
    {"name": "acetate", "volume_mL": 4, "role": "buffer"},
]
LOTS = (LotContent("lot L1", 8.0), LotContent("lot L2", 14.0))


def document(**changes):
    return protocol_document(reagents=REAGENTS, **changes)


def with_standards(*takes, **fields):
    return document(
        standards=[
            {"tube": str(i), "take_mL": take, "with": "burette", "make_up_mL": 100}
            | fields
            for i, take in enumerate(takes, start=1)
        ]
    )


def with_unknown(**changes):
    return document(unknown={**protocol_document()["unknown"], **changes})


def warnings(written, lots=LOTS):
    return protocol_warnings(read_protocol(written), lots)


def test_a_sound_protocol_is_not_warned_about():
    assert warnings(document()) == ()


def test_the_protocol_to_start_from_is_sound_for_the_range_that_it_names():
    ends = (LotContent("least", 6.0), LotContent("most", 16.0))

    assert warnings(protocol_to_start_from(), ends) == ()


@pytest.mark.parametrize(
    ("lot", "words"),
    [
        (
            LotContent("lot L9", 31.0),
            "above the strongest standard (2.98 mg/L) for lot",
        ),
        (LotContent("lot L9", 2.0), "below the weakest standard (0.298 mg/L) for lot"),
    ],
)
def test_an_unknown_outside_the_standards_is_named_with_its_lot(lot, words):
    told = " ".join(warnings(document(), (*LOTS, lot)))

    assert words in told
    assert "lot L9" in told
    assert "lot L1" not in told


def test_two_dilutions_alike_are_named():
    steps = [{"make_up_mL": 250}, {"take_mL": 25}, {"make_up_mL": 250}]

    (told, *_) = [w for w in warnings(with_unknown(steps=steps)) if "1 : 10" in w]

    assert "nobody can tell which" in told


def test_two_standards_of_one_concentration_are_named():
    told = warnings(with_standards(5, 10, 20, 20, 50))

    assert "Standards 3 and 4 have the same concentration" in " ".join(told)


def test_too_little_and_too_much_light_is_named():
    dark = with_standards(10, 20, 50, 50.5, 99)
    pale = with_standards(1, 10, 20, 30, 50)

    assert "Standard 5 is expected at 6.7 %T, below 10" in " ".join(warnings(dark))
    assert "Standard 1 is expected at 97.3 %T, above 95" in " ".join(warnings(pale))


@pytest.mark.parametrize(
    ("written", "words"),
    [
        (with_standards(5, 10, 20, 30, 60), "A burette delivers 50 mL at most, not 60"),
        (
            with_standards(5, 10, 17, 30, 50, **{"with": "pipette"}),
            "A pipette of 17 mL is no usual size",
        ),
        (
            with_standards(5, 10, 12, 20, 25, make_up_mL=125),
            "A flask of 125 mL is no usual size",
        ),
        (with_standards(5, 10, 20), "3 standards leave 1 to judge a line by"),
        (with_standards(5, 10, 20, 30, 95), "Tube 5 takes 95 mL and 8 mL of reagents"),
        (
            with_standards(40, 45, 50, 60, 70),
            "The standards take 265 mL together from a flask of 250 mL",
        ),
        (
            document(wavelength_nm=650),
            "At 650 nm the colour’s absorptivity is not known",
        ),
        (
            document(limits={"standard_mass_g": [0.3, 0.4]}),
            "The standard to weigh, 0.21 g, is itself outside",
        ),
        (protocol_document(), "No reagent has the role of reductant or ligand or"),
    ],
)
def test_what_cannot_be_delivered_read_or_held_is_named(written, words):
    assert words in " ".join(warnings(written))


def test_a_buffer_before_the_reductant_is_named():
    written = protocol_document(reagents=REAGENTS[::-1])

    assert "The buffer comes before the reductant" in " ".join(warnings(written))
