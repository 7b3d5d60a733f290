"""No label and no slip with one wrong sign, or two neighbours swapped, is taken.

Labels of vials are tried one and all, every pair of them that differs by one slip.
Slips are too many for that: their check is shown to be a sum that each sign enters
with a weight of its own, and then all weights and all pairs of signs are tried.
"""

import itertools
import random

import numpy as np
import pytest

from results.policy.codes import (
    ALPHABET,
    SLIP_LENGTH,
    VIAL_LENGTH,
    BadCode,
    check_sign,
    draw_code,
    read_code,
    read_label,
)

SIZE = len(ALPHABET)
READ = {VIAL_LENGTH: read_label, SLIP_LENGTH: read_code}
LENGTHS = [VIAL_LENGTH, SLIP_LENGTH]


@pytest.fixture(scope="module")
def labels():
    """Which of all sequences of five signs is a label, by the check itself."""
    is_label = np.zeros((SIZE,) * VIAL_LENGTH, dtype=bool)
    for body in itertools.product(range(SIZE), repeat=VIAL_LENGTH - 1):
        sign = check_sign("".join(ALPHABET[place] for place in body))
        is_label[(*body, ALPHABET.index(sign))] = True
    return is_label


@pytest.mark.parametrize("place", range(VIAL_LENGTH))
def test_no_two_labels_differ_in_one_sign(labels, place):
    assert np.all(labels.sum(axis=place) == 1)


@pytest.mark.parametrize("place", range(VIAL_LENGTH - 1))
def test_no_label_is_another_with_two_neighbours_swapped(labels, place):
    both = labels & labels.swapaxes(place, place + 1)

    first, second = np.nonzero(both)[place : place + 2]
    assert np.array_equal(first, second)


def value_of(code):
    """The sum that a code's check sign brings to nothing, as the code says it."""
    return ALPHABET.index(check_sign(code))


def weight_at(place, length):
    """How far the check sign moves when the sign at a place moves by one."""
    body = [ALPHABET[0]] * (length - 1)
    body[place] = ALPHABET[1]
    return value_of("".join(body))


@pytest.mark.parametrize("length", LENGTHS)
def test_the_check_sign_is_a_weighted_sum_of_the_others(length):
    weights = [weight_at(place, length) for place in range(length - 1)]
    # Every sign at every place alone, then whole codes at random.
    rng = random.Random(510)
    bodies = [
        [sign if at == place else 0 for at in range(length - 1)]
        for place in range(length - 1)
        for sign in range(SIZE)
    ]
    bodies += [[rng.randrange(SIZE) for _ in range(length - 1)] for _ in range(5000)]

    for body in bodies:
        total = sum(w * sign for w, sign in zip(weights, body, strict=True)) % SIZE
        assert value_of("".join(ALPHABET[sign] for sign in body)) == total


@pytest.mark.parametrize("length", LENGTHS)
def test_by_its_weights_every_wrong_sign_and_every_swap_is_noticed(length):
    # The check sign itself enters the sum that must vanish with the weight -1.
    weights = [weight_at(place, length) for place in range(length - 1)] + [-1]

    for a, b in itertools.permutations(range(SIZE), 2):
        for place, weight in enumerate(weights):
            assert weight * (a - b) % SIZE != 0
            if place + 1 < length:
                following = weights[place + 1]
                assert (weight - following) * (a - b) % SIZE != 0


@pytest.mark.parametrize("length", LENGTHS)
@pytest.mark.parametrize("seed", range(3))
def test_a_code_is_refused_with_any_one_sign_wrong_or_any_neighbours_swapped(
    length, seed
):
    code = draw_code(random.Random(seed).randrange, length).replace("-", "")
    wrong = {
        code[:place] + sign + code[place + 1 :]
        for place in range(length)
        for sign in ALPHABET
    } | {
        code[:place] + code[place + 1] + code[place] + code[place + 2 :]
        for place in range(length - 1)
    }
    wrong.discard(code)

    for typed in wrong:
        with pytest.raises(BadCode):
            READ[length](typed)
