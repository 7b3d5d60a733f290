"""Slip codes: a wrong sign or a swap of neighbours is always noticed."""

import itertools
import random

import pytest

from results.policy.codes import (
    ALPHABET,
    VIAL_LENGTH,
    BadCode,
    check_sign,
    digest_code,
    draw_code,
    read_code,
    read_label,
)

CODE = read_code(draw_code(random.Random(7).randrange))
LOOK_ALIKES = ("0O", "1I", "1L", "5S", "2Z", "8B", "UV")


def test_a_code_is_read_however_it_is_spaced_and_written():
    typed = f" {CODE[:3].lower()} {CODE[3:6]}-{CODE[6:].lower()} "

    assert read_code(typed) == CODE


def test_every_single_wrong_sign_is_noticed():
    wrong = [
        CODE[:place] + sign + CODE[place + 1 :]
        for place in range(len(CODE))
        for sign in ALPHABET
        if sign != CODE[place]
    ]

    for code in wrong:
        with pytest.raises(BadCode, match="One sign is wrong"):
            read_code(code)


def test_every_swap_of_neighbours_is_noticed():
    for first, second in itertools.permutations(ALPHABET, 2):
        body = "ACD" + first + second + "HJK"
        swapped = "ACD" + second + first + "HJK"

        assert check_sign(body) != check_sign(swapped)


def test_no_two_signs_look_alike():
    for pair in LOOK_ALIKES:
        assert not set(pair) <= set(ALPHABET)


def test_a_sign_that_no_slip_has_is_named():
    with pytest.raises(BadCode, match="has O"):
        read_code("O" + CODE[1:])


def test_a_short_code_says_how_many_signs_were_typed():
    with pytest.raises(BadCode, match="9 signs; 4 were typed"):
        read_code(CODE[:4])


def test_what_is_stored_depends_on_the_key():
    assert digest_code(CODE, "one key") != digest_code(CODE, "another key")


def test_digests_are_those_of_rfc_4231():
    # RFC 4231, test case 2: key "Jefe", data "what do ya want for nothing?".
    expected = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"

    assert digest_code("what do ya want for nothing?", "Jefe") == expected


def test_a_label_is_read_like_a_slip_with_words_of_its_own():
    label = draw_code(random.Random(3).randrange, VIAL_LENGTH)

    assert read_label(label.lower()) == label.replace("-", "")
    with pytest.raises(BadCode, match="which no label has"):
        read_label("O" + label[1:])
