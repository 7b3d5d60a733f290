"""Numbers are echoed as one reads them aloud, in the language of the page."""

import pytest
from django.contrib.staticfiles import finders

from tests.frontend.chromium import NEEDS_BROWSER

pytestmark = NEEDS_BROWSER
# 0 to 100, written down by hand, as grammars and dictionaries of both languages
# have them (Duden for German; from memory).
ENGLISH = """
zero one two three four five six seven eight nine
ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen
twenty twenty-one twenty-two twenty-three twenty-four
twenty-five twenty-six twenty-seven twenty-eight twenty-nine
thirty thirty-one thirty-two thirty-three thirty-four
thirty-five thirty-six thirty-seven thirty-eight thirty-nine
forty forty-one forty-two forty-three forty-four
forty-five forty-six forty-seven forty-eight forty-nine
fifty fifty-one fifty-two fifty-three fifty-four
fifty-five fifty-six fifty-seven fifty-eight fifty-nine
sixty sixty-one sixty-two sixty-three sixty-four
sixty-five sixty-six sixty-seven sixty-eight sixty-nine
seventy seventy-one seventy-two seventy-three seventy-four
seventy-five seventy-six seventy-seven seventy-eight seventy-nine
eighty eighty-one eighty-two eighty-three eighty-four
eighty-five eighty-six eighty-seven eighty-eight eighty-nine
ninety ninety-one ninety-two ninety-three ninety-four
ninety-five ninety-six ninety-seven ninety-eight ninety-nine
"""
GERMAN = """
null eins zwei drei vier fünf sechs sieben acht neun
zehn elf zwölf dreizehn vierzehn fünfzehn sechzehn siebzehn achtzehn neunzehn
zwanzig einundzwanzig zweiundzwanzig dreiundzwanzig vierundzwanzig
fünfundzwanzig sechsundzwanzig siebenundzwanzig achtundzwanzig neunundzwanzig
dreißig einunddreißig zweiunddreißig dreiunddreißig vierunddreißig
fünfunddreißig sechsunddreißig siebenunddreißig achtunddreißig neununddreißig
vierzig einundvierzig zweiundvierzig dreiundvierzig vierundvierzig
fünfundvierzig sechsundvierzig siebenundvierzig achtundvierzig neunundvierzig
fünfzig einundfünfzig zweiundfünfzig dreiundfünfzig vierundfünfzig
fünfundfünfzig sechsundfünfzig siebenundfünfzig achtundfünfzig neunundfünfzig
sechzig einundsechzig zweiundsechzig dreiundsechzig vierundsechzig
fünfundsechzig sechsundsechzig siebenundsechzig achtundsechzig neunundsechzig
siebzig einundsiebzig zweiundsiebzig dreiundsiebzig vierundsiebzig
fünfundsiebzig sechsundsiebzig siebenundsiebzig achtundsiebzig neunundsiebzig
achtzig einundachtzig zweiundachtzig dreiundachtzig vierundachtzig
fünfundachtzig sechsundachtzig siebenundachtzig achtundachtzig neunundachtzig
neunzig einundneunzig zweiundneunzig dreiundneunzig vierundneunzig
fünfundneunzig sechsundneunzig siebenundneunzig achtundneunzig neunundneunzig
"""


@pytest.fixture
def said(tab):
    """Words of typed numbers, as the script of the sheet says them."""
    tab.set_content("<main></main>")
    tab.evaluate("window.bench = {}")
    tab.add_script_tag(path=finders.find("frontend/number-words.js"))
    return lambda typed, language: tab.evaluate(
        "([typed, language]) => typed.map((one) => bench.numberInWords(one, language))",
        [typed, language],
    )


@pytest.mark.parametrize(
    ("language", "words", "hundred"),
    [("en", ENGLISH, "one hundred"), ("de", GERMAN, "einhundert")],
)
def test_whole_numbers_up_to_a_hundred(said, language, words, hundred):
    by_hand = [*words.split(), hundred]

    assert said([str(n) for n in range(101)], language) == by_hand
    assert len(by_hand) == 101


@pytest.mark.parametrize(
    ("language", "words", "point"), [("en", ENGLISH, "point"), ("de", GERMAN, "Komma")]
)
def test_decimals_are_said_digit_by_digit(said, language, words, point):
    tenths = said([f"{n}.{n % 10}" for n in range(100)], language)
    hundredths = said([f"{n},0{n % 10}" for n in range(100)], language)

    by_hand = words.split()
    zero = by_hand[0]
    assert tenths == [f"{by_hand[n]} {point} {by_hand[n % 10]}" for n in range(100)]
    assert hundredths == [
        f"{by_hand[n]} {point} {zero} {by_hand[n % 10]}" for n in range(100)
    ]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("43,5", "dreiundvierzig Komma fünf"),
        ("0,050", "null Komma null fünf null"),
        ("−0,02", "minus null Komma null zwei"),
        ("101", "einhunderteins"),
        ("104,25", "einhundertvier Komma zwei fünf"),
        ("217", "zweihundertsiebzehn"),
        ("1,1", "eins Komma eins"),
        (",5", "null Komma fünf"),
        ("12,3,4", ""),
        ("", ""),
    ],
)
def test_german_numbers_are_read_as_one_says_them(said, typed, words):
    assert said([typed], "de") == [words]


def test_a_region_changes_nothing_and_an_unknown_language_is_said_in_digits(said):
    assert said(["43,5"], "de-AT") == ["dreiundvierzig Komma fünf"]
    assert said(["43,5"], "fi") == ["43,5"]
