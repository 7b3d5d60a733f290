"""No sentence is left without words: catalogues are complete, or say what lacks."""

import ast
import io

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

from labsite.catalogues import (
    ROOMS,
    Catalogues,
    main,
    placeholders,
    problems_of,
    read_catalogue,
)


def catalogue(**strings):
    """German words by the sentence that they translate."""
    words = Catalog(locale="de", fuzzy=False)
    for sentence, string in strings.items():
        words.add(sentence, string)
    return words


def lacking(sentence, string, **marks):
    known = Catalog(locale="de", fuzzy=False)
    known.add(sentence, string, **marks)
    wanted = Catalog()
    wanted.add(sentence)
    return [problem.split(":")[0] for problem in problems_of(known, wanted)]


def test_every_sentence_of_the_code_is_translated():
    assert Catalogues().problems() == []


def told(tree):
    """Every sentence that a module marks or tells, however deep in other calls."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and node.args:
            name = getattr(node.func, "id", "")
            first = getattr(node.args[0], "value", None)
            if name in {"tell", "marked", "gettext_lazy"} and isinstance(first, str):
                yield first


def test_no_sentence_hides_from_collecting_inside_another_call():
    catalogues = Catalogues()
    found = {message.id for message in catalogues.collected("django")}
    modules = [p for room in ROOMS for p in (catalogues.root / room).rglob("*.py")]

    said = {s for p in modules for s in told(ast.parse(p.read_text()))} - {""}

    assert len(said) > 100
    assert said - found == set()


@pytest.mark.parametrize(
    ("sentence", "string", "problem"),
    [
        ("Tube {tube}.", "", "not translated"),
        ("Tube {tube}.", "Röhrchen.", "other placeholders"),
        ("Tube {tube}.", "Röhrchen {name}.", "other placeholders"),
        ("{mass_g:g} g", "{mass_g} g", "other placeholders"),
        ("Group %(group)s", "Gruppe", "other placeholders"),
        (("One tube", "{n} tubes"), ("Ein Röhrchen", ""), "not translated"),
        (("One tube", "{n} tubes"), ("{n}", "Röhrchen {m}"), "other placeholders"),
    ],
)
def test_what_a_translator_has_yet_to_do_is_named(sentence, string, problem):
    assert lacking(sentence, string) == [problem]


@pytest.mark.parametrize(
    ("sentence", "string"),
    [
        ("Tube {tube}.", "{tube} ist ein Röhrchen."),
        (("One tube", "{n} tubes"), ("Ein Röhrchen", "{n} Röhrchen")),
    ],
)
def test_a_good_translation_lacks_nothing(sentence, string):
    assert lacking(sentence, string) == []


def test_a_guessed_translation_does_not_count():
    assert lacking("A line.", "Eine Gerade.", flags=["fuzzy"]) == ["marked as fuzzy"]


def test_sentences_that_were_not_collected_or_are_no_longer_said_are_named():
    known, wanted = catalogue(Old="Alt"), Catalog()
    wanted.add("New")

    found = list(problems_of(known, wanted))

    assert found == ["not collected yet: 'New'", "no longer said: 'Old'"]


def test_placeholders_keep_their_formats():
    assert placeholders("{slope:.4f} L/mg, {n} dots, %(group)s, 100 %T, {}") == {
        "{slope:.4f}",
        "{n}",
        "%(group)s",
    }


def test_sentences_are_collected_from_templates_scripts_and_tables(tmp_path, code):
    (tmp_path / "frontend" / "page.html").write_text(
        "{% load i18n %}\n  <p>{% translate 'Your line' %}</p>\n"
        "{% blocktranslate with n=1 %}Revision {{ n }}{% endblocktranslate %}\n"
        "{% blocktranslate count n=n %}one"
        "{% plural %}{{ n }} dots{% endblocktranslate %}"
    )
    (tmp_path / "results" / "table.py").write_text(
        'A = marked("Line " "bends")\nB = Deed("x", "y", "S", 3, "Read again.")\n'
        'C = tell_counted("One", "{n} things", n=2)\n'
    )
    (tmp_path / "frontend" / "page.js").write_text(
        'show(tell("Sent {n}", { n }), "key");\n'
    )

    pages = {message.id for message in code.collected("django") if message.id}
    scripts = {message.id for message in code.collected("djangojs") if message.id}

    assert pages == {
        "Your line",
        "Revision %(n)s",
        ("one", "%(n)s dots"),
        "Line bends",
        "Read again.",
        ("One", "{n} things"),
    }
    assert scripts == {"Sent {n}"}


@pytest.fixture
def code(tmp_path):
    """A code of our own beside a folder of words, both empty."""
    for room in ROOMS:
        (tmp_path / room).mkdir()
    (tmp_path / "labsite" / "locale" / "de" / "LC_MESSAGES").mkdir(parents=True)
    return Catalogues(tmp_path)


@pytest.fixture
def words(code):
    """Where the words of that code stand."""
    return code.locales / "de" / "LC_MESSAGES" / "django.po"


def test_updating_adds_what_is_new_keeps_what_is_known_and_drops_the_rest(
    tmp_path, code, words
):
    (tmp_path / "results" / "said.py").write_text('tell("Old"); tell("New")\n')
    out = io.BytesIO()
    write_po(out, catalogue(Old="Alt", Gone="Weg"))
    words.write_bytes(out.getvalue())

    code.update()

    known = read_catalogue(words)
    assert {m.id: m.string for m in known if m.id} == {"Old": "Alt", "New": ""}
    assert code.files() == [words]


def test_updating_twice_changes_nothing(tmp_path, code, words):
    (tmp_path / "results" / "said.py").write_text('tell("New")\n')
    code.update()
    before = words.read_bytes()

    code.update()

    assert words.read_bytes() == before


def test_words_are_compiled_once_they_change(tmp_path, code, words):
    (tmp_path / "results" / "said.py").write_text('tell("New")\n')
    code.update()
    assert code.stale() == [words]

    assert main(["compile"], code) == 0

    assert words.with_suffix(".mo").exists()
    assert code.stale() == []


def test_a_check_that_finds_something_fails_and_names_it(tmp_path, code, capsys):
    (tmp_path / "results" / "said.py").write_text('tell("New")\n')

    assert main(["update"], code) == 0
    assert main(["check"], code) == 1
    assert "not translated: 'New'" in capsys.readouterr().out
