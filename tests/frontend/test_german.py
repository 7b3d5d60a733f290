"""What groups read in German: every sentence, and numbers with a comma."""

from datetime import UTC, datetime

import pytest
from django.template import Context, Template
from django.urls import reverse
from django.utils import translation

from frontend.axes import tick
from frontend.cautions import with_usual_cautions
from frontend.numerals import fixed, significant, with_uncertainty
from frontend.pictures import describe
from results.policy.findings import CATALOGUE, advice, say, wording
from results.policy.language import tell
from results.policy.protocol import Span
from results.policy.visits import REASONS, State, reason_in_words
from results.science.diagnosis import CATALOGUE as DEEDS
from results.summaries.lines import LinePicture, LineWithout
from tests.factories import make_bench, slip_code, submit, worked_off
from tests.frontend.benches import sign_in, typed_sheet
from tests.languages import outside_brackets, speak_brackets

GERMAN = {"Accept-Language": "de"}


@pytest.fixture
def german():
    with translation.override("de"):
        yield


@pytest.fixture
def brackets(settings, tmp_path):
    speak_brackets(settings, tmp_path)
    with translation.override("de"):
        yield


@pytest.mark.parametrize("tube", ["", "3", "2,4"])
@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_every_finding_is_told_in_german(german, code, tube):
    template = wording(code).student

    sentence = say(template, tube=tube, numbers={})

    with translation.override("en"):
        assert sentence != say(template, tube=tube, numbers={})
    assert not set("{}") & set(sentence)
    assert sentence.endswith((".", "?"))
    assert tell(wording(code).title) != wording(code).title


@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_no_part_of_a_finding_is_left_untranslated(brackets, code):
    for tube in ("", "3", "2,4"):
        sentence = say(wording(code).student, tube=tube, numbers={})

        assert outside_brackets(sentence) == []


@pytest.mark.parametrize("deed", DEEDS, ids=lambda deed: deed.name)
def test_advice_is_given_in_german(german, deed):
    (told,) = advice([deed.name], for_staff=True)

    assert told != deed.advice


def test_states_reasons_and_cautions_are_said_in_german(brackets):
    said = [state.label for state in State]
    said += [reason_in_words(reason) for reason in (*REASONS, "something new")]
    said += with_usual_cautions(())

    assert outside_brackets(" ".join(said)) == []


def test_cautions_that_a_course_has_written_in_german_are_not_said_twice():
    own = (
        "Schutzbrille tragen.",
        "Nie mit dem Mund pipettieren.",
        "Abfälle sammeln.",
        "Das Sicherheitsdatenblatt liegt aus.",
    )

    assert with_usual_cautions(own) == own


def test_numbers_have_a_comma(german):
    assert fixed(-0.0312, 3) == "−0,031"
    assert with_uncertainty(12.0374, 0.2137) == "12,04 ± 0,21"
    assert significant(6.59804e-06, 3) == "6,6 × 10⁻⁶"
    assert tick(1.0, 0.25).text == "0,25"
    assert str(Span(0.1, 0.4)) == "0,1 bis 0,4"


def test_filters_of_pages_write_numbers_and_moments_in_german(german):
    written = Template(
        "{% load printed %}{{ mass_g|plain }}|{{ span|roundly }}|{{ low|up_to:high }}"
        "|{{ at|moment }}|{{ 'pipette'|delivered }}|{{ 'odd'|delivered }}"
    ).render(
        Context(
            {
                "mass_g": 0.21,
                "span": Span(-0.0223, 3.5),
                "low": 11.75,
                "high": 12.33,
                "at": datetime(2025, 3, 4, 14, 0, tzinfo=UTC),
            }
        )
    )

    assert written == (
        "0,21|−0,02 bis 3,5|11,75 bis 12,33|4. März, 14:00 Uhr|Pipette|odd"
    )


def test_a_picture_is_described_in_german(german):
    line = LinePicture(
        (), 0.19879, -0.0012, 0.001, ("3",), LineWithout("3", 0.19862, 0.0004)
    )

    assert describe(line) == (
        "0 Standards und 0 Röhrchen mit Probe; Gerade mit Steigung 0,1988 L/mg und "
        "Achsenabschnitt -0,0012; Röhrchen 3 eingekreist; gestrichelte Gerade ohne "
        "Röhrchen 3, Steigung 0,1986 L/mg und Achsenabschnitt 0,0004."
    )


@pytest.mark.django_db
def test_what_is_to_be_mended_is_said_in_german_at_its_place(client):
    make_bench(slip=slip_code())
    sign_in(client)
    typed = typed_sheet(standard_mass_g="210,5", unknown_mass_g="")

    page = client.post(reverse("bench-sheet"), typed, headers=GERMAN)

    content = page.content.decode()
    assert "210,5 sieht nach Milligramm aus. In Gramm sind es 0,2105." in content
    assert "Tippt die Masse in Gramm ein" in content


@pytest.mark.django_db
def test_a_sheet_that_was_received_comes_back_with_commas(client):
    bench = make_bench(slip=slip_code())
    submit(bench.group)
    sign_in(client)

    page = client.get(reverse("bench-sheet"), headers=GERMAN).content.decode()

    assert 'name="standard_mass_g" value="0,21"' in page
    assert f'data-mass-low="{0.21 / 20}"' in page


@pytest.mark.django_db
def test_drawings_keep_their_points(client):
    bench = make_bench(slip=slip_code())
    submit(bench.group)
    worked_off()
    sign_in(client)
    address = reverse("bench-result-current")

    drawn = {
        language: [
            part
            for part in client.get(address, headers={"Accept-Language": language})
            .content.decode()
            .split('"')
            if part.replace(".", "").isdigit()
        ]
        for language in ("en", "de")
    }

    assert any("." in number for number in drawn["en"])
    assert drawn["de"] == drawn["en"]
