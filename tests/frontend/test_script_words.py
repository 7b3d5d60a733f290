"""Scripts say their sentences in the reader's language, brought by the page."""

import io
import json
import re

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from django.contrib.staticfiles import finders
from django.template import Context, Template
from django.utils import translation

from tests.frontend.chromium import CHROMIUM

SENTENCE = "Trying again every {seconds} seconds."
GERMAN = "Neuer Versuch alle {seconds} Sekunden <&>."


@pytest.fixture
def words(settings, tmp_path):
    """A catalogue of scripts with one sentence."""
    catalogue = Catalog(locale="de", domain="djangojs")
    catalogue.add(SENTENCE, GERMAN)
    out = io.BytesIO()
    write_mo(out, catalogue)
    folder = tmp_path / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    (folder / "djangojs.mo").write_bytes(out.getvalue())
    settings.LOCALE_PATHS = [tmp_path]


def data_block(language):
    with translation.override(language):
        return Template("{% load spoken %}{% words_for_scripts %}").render(Context())


def test_a_page_brings_the_sentences_of_its_scripts_as_data(words):
    block = data_block("de")

    assert block.startswith('<script id="words" type="application/json">')
    assert json.loads(re.sub("<[^>]*>", "", block)) == {SENTENCE: GERMAN}


def test_an_english_page_brings_none(words):
    assert data_block("en") == ""


@pytest.mark.skipif(not CHROMIUM.exists(), reason=f"no browser at {CHROMIUM}")
@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "Trying again every 4 seconds."),
        ("de", "Neuer Versuch alle 4 Sekunden <&>."),
    ],
)
@pytest.mark.django_db(transaction=True)
def test_a_script_tells_what_the_page_brought(tab, words, language, said):
    tab.set_content(f"<main>{data_block(language)}</main>")
    tab.add_script_tag(path=finders.find("frontend/words.js"))

    assert tab.evaluate(f"tell('{SENTENCE}', {{ seconds: 4 }})") == said
    assert tab.evaluate("tell('Not {known}.')") == "Not {known}."
