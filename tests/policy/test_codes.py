"""Slip codes: a wrong sign or a swap of neighbours is always noticed."""

import itertools
import random

import numpy as np
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


def test_every_wrong_sign_and_every_swap_in_any_vial_label_is_noticed():
    # All labels there are, at once: the sum that a label's signs are to give, weighed
    # by their places, is zero for none that differs in a sign or in a swap.
    size, places = len(ALPHABET), np.arange(1, VIAL_LENGTH + 1)
    bodies = np.indices((size,) * (VIAL_LENGTH - 1)).reshape(VIAL_LENGTH - 1, -1).T
    signs = np.array([ALPHABET.index(check_sign(body)) for body in in_signs(bodies)])
    labels = np.column_stack([bodies, signs])

    assert not np.any(labels @ places % size)
    for place in range(VIAL_LENGTH):
        for step in range(1, size):
            wrong = labels.copy()
            wrong[:, place] = (wrong[:, place] + step) % size
            assert np.all(wrong @ places % size)
    for place in range(VIAL_LENGTH - 1):
        swapped = labels.copy()
        swapped[:, [place, place + 1]] = swapped[:, [place + 1, place]]
        differs = labels[:, place] != labels[:, place + 1]
        assert np.all(swapped[differs] @ places % size)


def in_signs(bodies):
    return ("".join(ALPHABET[sign] for sign in body) for body in bodies.tolist())


def test_the_sum_that_labels_are_checked_by_is_that_of_reading_them():
    # A sample of what the test above takes for granted: reading refuses exactly the
    # labels whose weighed sum is not zero.
    draw = random.Random(5)
    for _ in range(300):
        label = "".join(draw.choice(ALPHABET) for _ in range(VIAL_LENGTH))
        total = sum(k * ALPHABET.index(sign) for k, sign in enumerate(label, start=1))
        if total % len(ALPHABET):
            with pytest.raises(BadCode):
                read_label(label)
        else:
            assert read_label(label) == label
