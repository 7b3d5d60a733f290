"""Codes are accepted or refused as they are typed, by the server's mathematics."""

import random

import pytest

from results.policy.codes import (
    ALPHABET,
    SLIP_LENGTH,
    VIAL_LENGTH,
    BadCode,
    draw_code,
    read_code,
    read_label,
)
from tests.factories import make_bench, slip_code
from tests.frontend.browsers import sign_in
from tests.frontend.chromium import NEEDS_BROWSER

pytestmark = NEEDS_BROWSER
READ = {VIAL_LENGTH: read_label, SLIP_LENGTH: read_code}
SAMPLE = [
    read(draw_code(random.Random(seed).randrange, length))
    for seed in range(6)
    for length, read in READ.items()
]


def slips_of_the_pen(code):
    """Every single wrong sign, and every swap of neighbours that changes anything."""
    for place, right in enumerate(code):
        for sign in ALPHABET:
            if sign != right:
                yield code[:place] + sign + code[place + 1 :]
    for place in range(len(code) - 1):
        first, second = code[place : place + 2]
        if first != second:
            yield code[:place] + second + first + code[place + 2 :]


def is_code(typed, length):
    try:
        READ[length](typed)
    except BadCode:
        return False
    return True


def in_the_browser(tab, typed):
    return tab.evaluate(
        "typed => typed.map(([code, length]) => "
        "window.bench.checkCode(code, length, 'slip').isCode)",
        [[code, length] for code, length in typed],
    )


def test_the_browser_and_the_server_agree_on_every_slip_of_the_pen(tab):
    tab.goto("/")
    typed = [
        (wrong, len(code))
        for code in SAMPLE
        for wrong in (code, *slips_of_the_pen(code))
    ]

    answers = in_the_browser(tab, typed)

    assert len(typed) > 1800
    assert answers == [is_code(*one) for one in typed]
    assert sum(answers) == len(SAMPLE)


@pytest.mark.parametrize("seed", range(3))
def test_the_browser_and_the_server_agree_on_anything_that_is_complete(tab, seed):
    tab.goto("/")
    draw = random.Random(seed)
    signs = ALPHABET + "01BGILOQSUZ -.–"
    typed = [("".join(draw.choices(signs, k=7)), VIAL_LENGTH) for _ in range(500)]

    answers = in_the_browser(tab, typed)

    # While signs are missing the browser says neither yes nor no.
    assert [bool(one) for one in answers] == [is_code(*one) for one in typed]


LABEL = draw_code(random.Random(1).randrange, VIAL_LENGTH)
SWAPPED = LABEL[1] + LABEL[0] + LABEL[2:]


@pytest.fixture
def sheet(tab):
    """A sheet of a course with checked labels, whose group has no vial yet."""
    bench = make_bench(slip=slip_code(), vial_labels_checked=True)
    bench.group.issues.all().delete()
    sign_in(tab)
    return tab


def said(tab, box="vial"):
    return tab.locator(f"#{box}-check").inner_text()


def test_a_label_is_accepted_as_typed(sheet):
    sheet.locator("#vial").fill(LABEL.lower().replace("-", ""))

    assert said(sheet) == f"{LABEL} ✓"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (SWAPPED, "Not a vial label: one character is off, or two are swapped."),
        ("O" + LABEL[1:], "Not a vial label: it has O, which none has."),
        (LABEL + "AC", "Not a vial label: it has 7 signs, not 5."),
        (LABEL[:2], "3 more signs"),
        ("", ""),
    ],
)
def test_what_is_wrong_with_a_label_is_said_as_typed(sheet, typed, words):
    sheet.locator("#vial").fill(typed)

    assert said(sheet) == words


def test_labels_of_the_course_s_own_are_not_judged(tab):
    bench = make_bench(slip=slip_code())
    bench.group.issues.all().delete()
    sign_in(tab)

    tab.locator("#vial").fill("417")

    assert said(tab) == ""


def test_a_group_can_make_sure_that_it_holds_its_own_vial(tab):
    bench = make_bench(slip=slip_code(), vial_labels_checked=True)
    bench.vial.code = LABEL
    bench.vial.save()
    other = draw_code(random.Random(2).randrange, VIAL_LENGTH)
    sign_in(tab)
    box = tab.get_by_label("The vial in your hand")

    box.fill(other)
    of_another = said(tab, "vial-in-hand")
    box.fill(LABEL)

    assert of_another.startswith(f"{other} is another vial: yours is {LABEL}.")
    assert said(tab, "vial-in-hand") == f"{LABEL} ✓"


def test_a_slip_code_is_accepted_as_typed(tab):
    tab.goto("/")

    tab.get_by_label("Slip code").fill(slip_code(7).lower())

    assert said(tab, "slip_code") == f"{slip_code(7)} ✓"
