import pytest
from django.urls import reverse

from frontend.cautions import with_usual_cautions
from tests.factories import make_bench, protocol_document, slip_code
from tests.frontend.benches import sign_in


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


@pytest.mark.django_db
def test_the_limits_of_both_scales_are_said_plainly(client):
    bench = make_bench(slip=slip_code())
    sign_in(client)
    bench.course.protocols.update(
        document=protocol_document(
            limits={"percent_T": [0, 105], "absorbance": [-0.0223, 3]}
        )
    )

    content = client.get(reverse("bench-sheet")).content.decode()

    assert '<span class="for-percent_T">0 to 105 %T is taken.' in content
    assert '<span class="for-absorbance">An absorbance of −0.02 to 3 is' in content
