import re
import string

import pytest

from results.policy.findings import CATALOGUE, advice, is_staff_only, say, wording
from results.policy.findings.patterns import is_no_slip, wants_a_word
from results.policy.visits import asks_for_a_visit
from results.science.diagnosis import CATALOGUE as DEEDS
from results.science.diagnosis import CODES

AUDIENCES = ("student", "assistant", "coordinator")
# Nobody is accused, and nobody is told what the true answer is.
UNKIND = re.compile(
    r"cheat|fault of|your mistake|careless|blame|wrong answer|true value|assigned",
    re.IGNORECASE,
)
ALWAYS_GIVEN = {"tube", "where", "Where"}


def placeholders(template):
    return {name for _, name, _, _ in string.Formatter().parse(template) if name}


@pytest.mark.parametrize("code", sorted(CATALOGUE))
@pytest.mark.parametrize("audience", AUDIENCES)
def test_every_code_has_a_kind_sentence_for_everyone(code, audience):
    sentence = getattr(wording(code), audience)

    assert sentence.endswith((".", "?"))
    assert not UNKIND.search(sentence)


@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_sentences_need_no_number_that_a_finding_may_lack(code):
    words = wording(code)
    templates = [getattr(words, audience) for audience in AUDIENCES]

    needed = set().union(*map(placeholders, templates)) - ALWAYS_GIVEN

    assert needed <= ({"groups"} if code == "same_readings" else set())


@pytest.mark.parametrize("tube", ["", "3", "2,4"])
@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_sentences_read_well_whatever_tube_is_named(code, tube):
    for audience in AUDIENCES:
        sentence = say(
            getattr(wording(code), audience), tube=tube, numbers={"groups": 2.0}
        )

        assert not set("{}") & set(sentence)
        assert not sentence[0].islower()
        assert "  " not in sentence
        assert "tube ." not in sentence


def test_every_code_the_diagnosis_can_give_is_worded():
    given = {*CODES.values(), "out_of_range", "other_lot", "same_readings"}

    assert given <= set(CATALOGUE)


def test_titles_are_two_to_six_words():
    lengths = {code: len(words.title.split()) for code, words in CATALOGUE.items()}

    assert {code for code, n in lengths.items() if not 1 <= n <= 6} == set()


def test_comparisons_with_other_groups_answers_are_for_staff_alone():
    kept = {code for code in CATALOGUE if is_staff_only(code)}

    assert kept == {"other_lot", "same_readings", "unknown_side"}


@pytest.mark.parametrize("deed", DEEDS, ids=lambda deed: deed.name)
def test_every_deed_has_one_kind_sentence_of_advice(deed):
    assert deed.act in {"S", "T", "C"}
    assert deed.advice.endswith((".", "?"))
    assert len(deed.advice) <= 90
    assert not UNKIND.search(deed.advice)


def test_students_are_advised_only_what_they_can_do():
    told = advice(["stray_light", "lid_open"], for_staff=False)

    assert told == ("Shut the lid and shade the holder.",)


def test_a_code_nobody_has_worded_gets_a_general_sentence():
    assert "unusual" in wording("not_a_code").student


def test_each_kind_of_cause_has_its_turn_in_the_advice():
    """A line too flat may be the standards' fault or the meter's."""
    members = ["salt_lost", "stock_overfilled", "stock_not_mixed", "wavelength_off"]

    told = advice(members, for_staff=False)

    assert len(told) == 3
    assert "Rinse boat and funnel into the flask." in told[0]
    assert "wavelength" in told[1]


def test_a_mass_equal_to_the_plans_is_no_slip_and_no_reason_for_a_word():
    assert is_no_slip("nominal_mass")
    assert not wants_a_word("nominal_mass", 0.99)
    assert not asks_for_a_visit("nominal_mass")
    assert wording("nominal_mass").title == "Please check the mass"
