"""Sentences are said in the reader's language, whatever it is bound to."""

from datetime import UTC, datetime

import pytest

from results.policy import language
from results.policy.language import (
    Speech,
    day_and_time,
    in_readers_format,
    speak,
    tell,
    tell_counted,
)
from results.policy.protocol import Span

LOUD = Speech(
    translate=str.upper,
    translate_counted=lambda one, many, n: (one if n == 1 else many).upper(),
    decimal_sign=lambda: ",",
    moment=lambda at: at.strftime("%H h"),
)


@pytest.fixture
def loud():
    before = language._InForce.speech
    speak(LOUD)
    yield
    speak(before)


def test_a_sentence_is_translated_before_it_is_filled(loud):
    assert tell("keep it.") == "KEEP IT."


def test_what_is_filled_in_is_not_translated(loud):
    assert tell("{X} IS NOT A TUBE.", X="u1") == "u1 IS NOT A TUBE."


def test_numbers_get_the_readers_decimal_sign_and_texts_stay(loud):
    assert tell("{A:.2f} {B} {N}", A=0.5, B="0.5", N=3) == "0,50 0.5 3"


def test_an_empty_text_stays_empty():
    # Of an empty text, a catalogue gives its own description.
    assert tell("") == ""


@pytest.mark.parametrize(("n", "said"), [(1, "ONE"), (2, "2 LEFT")])
def test_a_count_chooses_its_sentence(n, said):
    assert tell_counted("ONE", "{n} LEFT", n=n) == said


def test_spans_and_moments_are_said_as_the_reader_writes_them(loud):
    at = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)

    assert in_readers_format("0.21") == "0,21"
    assert day_and_time(at) == "14 h"


def test_until_bound_everything_is_said_as_it_stands():
    plain = Speech()

    assert plain.translate("A line.") == "A line."
    assert plain.translate_counted("one", "many", 2) == "many"
    assert plain.decimal_sign() == "."
    assert plain.moment(datetime(2025, 3, 4, 14, tzinfo=UTC)) == "04 March, 14:00"


def test_a_span_is_said_with_both_its_ends():
    assert str(Span(0.1, 0.4)) == "0.1 to 0.4"
