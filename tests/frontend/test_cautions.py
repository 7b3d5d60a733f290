import pytest

from frontend.cautions import with_usual_cautions


@pytest.mark.parametrize(
    ("own", "added"),
    [
        ([], ["Eye protection", "mouth", "waste container", "safety data sheet"]),
        (["Wear goggles."], ["mouth", "waste container", "safety data sheet"]),
        (
            [
                "Eyes: goggles. Never by mouth. Waste into the can.",
                "Safety data sheet.",
            ],
            [],
        ),
    ],
)
def test_usual_cautions_are_added_unless_the_protocol_has_them(own, added):
    cautions = with_usual_cautions(tuple(own))

    assert cautions[: len(own)] == tuple(own)
    usual = cautions[len(own) :]
    assert len(usual) == len(added)
    assert all(word in said for word, said in zip(added, usual, strict=True))
