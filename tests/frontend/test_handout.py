"""The class handout: the course's own scheme, in two languages, without a value."""

import re

import pytest
from django.urls import reverse

from frontend.preparing.handout_chain import draw_chain
from results.models import AssignedValue
from results.summaries.preparing.handout import Chain, ChainStep, ChainTube
from tests.factories import PASSWORD, make_bench, make_staff
from tests.languages import NAMES, outside_brackets, speak_brackets


@pytest.fixture
def bench():
    return make_bench(term="Spring term", college="")


@pytest.fixture
def ada(client, bench):
    make_staff("ada", course=bench.course)
    client.login(username="ada", password=PASSWORD)
    return client


@pytest.fixture
def brackets(settings, tmp_path):
    speak_brackets(settings, tmp_path)


def handout(client, language="en", name="paper-handout"):
    page = client.get(reverse(name, args=["IRON-1"]), {"language": language})
    return page.content.decode()


@pytest.mark.django_db
def test_the_chain_stands_there_with_the_courses_volumes(ada):
    content = handout(ada)

    for said in (
        "Weigh 0.21 g: standard; make up to 500 mL; take 25 mL, pipette; make up to",
        "flask 1: 5 mL made up to 100 mL; flask 2: 10 mL made up to 100 mL",
        "Weigh 0.25 g: unknown",
        "burette",
        "510 nm",
    ):
        assert said in content


@pytest.mark.django_db
def test_constants_stand_there_as_the_course_computes_by_them(ada):
    content = " ".join(handout(ada).split())

    # 392.125 g/mol and 0.14242: from CIAAW's abridged atomic weights of 2021.
    for said in ("392.125 g/mol", "55.845 g/mol", "0.14242 g", "0.998 g/g"):
        assert said in content


@pytest.mark.django_db
def test_cautions_of_the_course_and_the_usual_ones_stand_there(ada):
    content = handout(ada)

    assert "Wear goggles and gloves." in content
    assert "This page is a reminder, not a substitute." in content


@pytest.mark.django_db
def test_another_assigned_value_changes_no_byte_of_it(ada, bench):
    before = handout(ada)
    AssignedValue.objects.update(iron_percent=14.87, u_iron_percent=0.3)

    assert handout(ada) == before


@pytest.mark.django_db
def test_nothing_of_it_is_left_untranslated(ada, brackets):
    main = handout(ada, "de").partition("<main")[2]

    names = (*NAMES, "Spring term", "min", "mol", "H₂O")
    assert outside_brackets(f"<main{main}", names=names) == []


@pytest.mark.django_db
def test_in_german_numbers_have_a_comma(ada):
    content = handout(ada, "de")

    assert '<html lang="de">' in content
    assert "0,21 g" in content
    assert "392,125 g/mol" in content
    assert not re.search(r'd="[^"]*,', content)


@pytest.mark.django_db
def test_labels_are_printed_in_german_too(ada):
    content = handout(ada, "de", name="paper-vials")

    assert "Eisenprobe. Siehe Sicherheitsdatenblatt." in content


@pytest.mark.parametrize("n_tubes", [0, 1, 9, 10, 25])
def test_a_drawing_has_every_flask_within_its_frame(n_tubes):
    steps = (ChainStep(None, 500, ""), ChainStep(25, None, "pipette"))
    steps += (ChainStep(None, 250, ""), ChainStep(10, None, ""))
    steps += (ChainStep(None, 100, ""),)
    tubes = tuple(ChainTube(str(i), 5, 100, "burette") for i in range(n_tubes))

    drawing = draw_chain(Chain(0.21, steps, tubes), "standard", {})

    assert len(drawing.glasses) == 1 + 3 + n_tubes
    for glass in drawing.glasses:
        assert 0 <= float(glass.x) <= float(drawing.width) - 8
        assert 0 <= float(glass.text_y) <= float(drawing.height) - 3
