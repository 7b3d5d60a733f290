"""One tube at a time: digits, words, undo, and what looks wrong."""

import pytest
from playwright.sync_api import expect

from tests.factories import (
    make_bench,
    perfect_readings,
    protocol_document,
    slip_code,
)
from tests.frontend.browsers import sign_in, violations
from tests.frontend.chromium import NEEDS_BROWSER, PHONE

pytestmark = NEEDS_BROWSER


def make_reading_bench():
    bench = make_bench(slip=slip_code())
    bench.course.protocols.update(
        document=protocol_document(limits={"percent_T": [0, 105]})
    )
    bench.station.step = 0.1
    bench.station.save()
    return bench


@pytest.fixture
def reader(tab):
    """The reader, open at the first tube after the blank."""
    make_reading_bench()
    sign_in(tab)
    tab.locator("#station").select_option("4")
    tab.get_by_role("button", name="Read tube by tube").click()
    tab.keyboard.press("Enter")
    return tab


def part(tab, name):
    return tab.locator(f"[data-reader-{name}]")


def press(tab, keys):
    for key in keys:
        part(tab, "pad").get_by_role("button", name=key, exact=True).click()


def button(tab, name):
    return tab.locator("dialog").get_by_role("button", name=name, exact=True)


def place(tab):
    return part(tab, "name").inner_text(), part(tab, "count").inner_text()


def test_the_blank_comes_first_and_again_before_the_unknown(tab):
    make_reading_bench()
    sign_in(tab)
    tab.get_by_role("button", name="Read tube by tube").click()
    names = []
    for _ in range(9):
        names.append(part(tab, "name").inner_text())
        tab.keyboard.press("Enter")

    assert names == [
        "Blank",
        *(f"Tube {number}" for number in range(1, 6)),
        "Blank, again",
        "Tube U1",
        "Tube U2",
    ]


def test_the_pad_types_into_the_sheet_and_echoes_in_words(reader):
    press(reader, "43.5")

    expect(reader.locator("#value-0")).to_have_value("43.5")
    assert part(reader, "echo").inner_text() == (
        "Tube 1: forty-three point five percent, 43.5 %T → A 0.362"
    )


def test_what_is_echoed_is_said_once_the_number_stands_still(reader):
    press(reader, "43.5")

    part(reader, "said").filter(has_text="forty-three point five").wait_for(
        state="attached"
    )


# Words of the numbers as English reads them aloud, written down by hand.
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("0,05", "zero point zero five"),
        ("7", "seven"),
        ("13.0", "thirteen point zero"),
        ("20", "twenty"),
        ("99,5", "ninety-nine point five"),
        ("100", "one hundred"),
        ("104.25", "one hundred and four point two five"),
        (".5", "zero point five"),
        ("−0,02", "minus zero point zero two"),
        ("12.3.4", ""),
        ("abc", ""),
        ("", ""),
    ],
)
def test_numbers_are_read_as_one_says_them(reader, typed, words):
    assert reader.evaluate("typed => bench.numberInWords(typed)", typed) == words


def test_absorbances_are_echoed_with_their_transmittance(reader):
    button(reader, "Close").click()
    reader.get_by_label("absorbance", exact=True).check()
    reader.get_by_role("button", name="Read tube by tube").click()
    reader.keyboard.press("Enter")
    press(reader, "0.362")

    assert part(reader, "echo").inner_text() == (
        "Tube 1: absorbance zero point three six two, 0.362 A → 43.5 %T"
    )


def test_undo_goes_back_step_by_step_over_several_tubes(reader):
    reader.keyboard.type("87.5")
    reader.keyboard.press("Enter")
    reader.keyboard.type("72")
    button(reader, "Clear").click()
    cleared = reader.locator("#value-1").input_value()

    seen = []
    for _ in range(3):
        reader.keyboard.press("Control+z")
        values = (reader.locator(f"#value-{i}").input_value() for i in (0, 1))
        seen.append((part(reader, "name").inner_text(), *values))

    assert cleared == ""
    assert seen == [
        ("Tube 2", "87.5", "72"),
        ("Tube 2", "87.5", ""),
        ("Tube 1", "", ""),
    ]
    assert part(reader, "undo").is_disabled()


def test_undo_takes_back_that_a_tube_was_not_measured(reader):
    button(reader, "Not measured").click()
    left_out = reader.locator("[name=left_out]").first.is_checked()

    part(reader, "undo").click()

    assert left_out
    expect(reader.locator("[name=left_out]").first).not_to_be_checked()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("435", "435 %T is outside 0 to 105."),
        ("0.36", "0.36 looks like absorbance. Is the scale right?"),
        ("43.57", "43.57 is finer than this meter’s step of 0.1 %T."),
    ],
)
def test_a_number_that_looks_wrong_is_asked_about_and_can_be_kept(reader, typed, words):
    reader.keyboard.type(typed)
    reader.keyboard.press("Enter")
    asked, stayed = part(reader, "doubt").inner_text(), place(reader)
    reader.keyboard.press("Enter")

    assert asked.startswith(words)
    assert stayed == ("Tube 1", "2 of 9")
    assert place(reader) == ("Tube 2", "3 of 9")
    expect(reader.locator("#value-0")).to_have_value(typed)


def test_a_number_asked_about_is_typed_over_at_once(reader):
    reader.keyboard.type("435")
    reader.keyboard.press("Enter")
    reader.keyboard.type("43.5")
    reader.keyboard.press("Enter")

    expect(reader.locator("#value-0")).to_have_value("43.5")
    assert place(reader) == ("Tube 2", "3 of 9")


def test_a_tube_is_read_again_into_a_box_of_its_own(reader):
    reader.keyboard.type("87.5")
    button(reader, "Read this tube again").click()
    again = place(reader)
    reader.keyboard.type("87.2")

    assert again == ("Tube 1, again", "3 of 10")
    box = reader.locator("[data-tube='1'] [data-slot=again]")
    expect(box).to_have_value("87.2")
    expect(reader.locator("#value-0")).to_have_value("87.5")


def test_the_rack_shows_where_one_is_and_what_is_read(reader):
    reader.keyboard.type("87.5")
    reader.keyboard.press("Enter")

    rack = part(reader, "rack").locator("li")
    assert rack.all_inner_texts() == ["", "✓", *[""] * 7]
    assert "here" in rack.nth(2).get_attribute("class")
    tints = [rack.nth(i).get_attribute("class").split()[1] for i in range(9)]
    assert tints == [f"tint-{i}" for i in (0, 1, 2, 3, 4, 6, 0, 0, 0)]


def test_the_end_names_what_is_left_to_read(reader):
    for _ in range(8):
        reader.keyboard.press("Enter")

    assert part(reader, "ended").inner_text() == "7 of 9 are still to read"
    assert "Tube U2" in part(reader, "ended-words").inner_text()


def test_a_value_that_comes_from_elsewhere_is_shown(reader):
    reader.evaluate("bench.type(document.querySelector('#value-0'), '66.6')")

    expect(part(reader, "entry")).to_have_value("66.6")


# A page in English has points, whatever the phone speaks.
@pytest.mark.parametrize(
    ("language", "mark"), [("de-DE", ","), ("en-GB", "."), ("fi-FI", ".")]
)
def test_the_pad_has_the_decimal_mark_of_the_page(
    chromium, live_server, language, mark
):
    make_reading_bench()
    context = chromium.new_context(
        viewport=PHONE, base_url=live_server.url, locale=language
    )
    tab = context.new_page()
    sign_in(tab)
    part(tab, "open").click()
    tab.keyboard.press("Enter")

    press(tab, f"43{mark}5")

    expect(tab.locator("#value-0")).to_have_value(f"43{mark}5")
    assert part(tab, "echo").inner_text().endswith(f"43{mark}5 %T → A 0{mark}362")
    context.close()


class Keyboard:
    """Counts what hands do without a pointer.

    An action is one key that moves or presses (Tab, Enter), or one field's digits.
    """

    def __init__(self, tab):
        self.tab = tab
        self.actions = 0

    def key(self, name):
        self.actions += 1
        self.tab.keyboard.press(name)

    def digits(self, text):
        self.actions += 1
        self.tab.keyboard.type(text)

    def tab_to(self, selector):
        for _ in range(20):
            if self.tab.evaluate("s => document.activeElement.matches(s)", selector):
                return
            self.key("Tab")
        pytest.fail(f"{selector} is not reached by keyboard")

    def fill(self, selector, text):
        self.tab_to(selector)
        self.digits(text)


def test_the_whole_sheet_is_typed_by_keyboard_in_fewer_than_sixty_actions(tab):
    bench = make_reading_bench()
    sign_in(tab)
    tab.locator("main").focus()
    hands, perfect = Keyboard(tab), list(perfect_readings().values())

    hands.fill("#standard_mass_g", "0,2100")
    hands.fill("#unknown_mass_g", "0,2500")
    hands.fill("#station", "4")
    hands.tab_to("[data-reader-open]")
    hands.key("Enter")
    for value in (100, *perfect[:5], 99.5, *perfect[5:]):
        hands.digits(f"{value:.1f}")
        hands.key("Enter")
    hands.key("Enter")
    hands.tab_to(".send")
    hands.key("Enter")
    tab.wait_for_url("**/bench/result/1/")

    assert hands.actions < 60
    readings = bench.group.submissions.get().readings
    assert readings.filter(tube="blank").count() == 2
    assert readings.count() == 9
    assert tab.complaints == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_reader_has_no_barrier(reader, scheme):
    reader.emulate_media(color_scheme=scheme)
    reader.keyboard.type("435")
    reader.keyboard.press("Enter")
    found = violations(reader)
    for _ in range(8):
        reader.keyboard.press("Enter")
    part(reader, "ended").wait_for()

    assert found + violations(reader) == []


def test_keys_are_large_enough_for_a_gloved_thumb(reader):
    boxes = [
        one.bounding_box()
        for one in reader.locator("dialog button").all()
        if one.is_visible()
    ]

    assert len(boxes) > 15
    assert min(min(box["width"], box["height"]) for box in boxes) >= 44


def test_the_keys_stay_where_they_are_when_something_is_asked(reader):
    key = part(reader, "pad").get_by_role("button", name="5", exact=True)
    before = key.bounding_box()

    reader.keyboard.type("435")
    reader.keyboard.press("Enter")

    assert key.bounding_box() == before


def test_the_reader_stays_away_where_there_are_no_scripts(chromium, live_server):
    make_reading_bench()
    context = chromium.new_context(
        viewport=PHONE, base_url=live_server.url, java_script_enabled=False
    )
    tab = context.new_page()
    sign_in(tab)

    assert not tab.locator("[data-reader-open]").is_visible()
    assert not tab.locator("[data-timer]").is_visible()
    context.close()
