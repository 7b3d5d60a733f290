"""What a phone says while one works, in German: whole, and with commas."""

import re
from datetime import UTC, datetime

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import expect

from tests.factories import (
    make_bench,
    protocol_document,
    raw_submission,
    slip_code,
    submit,
    worked_off,
)
from tests.frontend.browsers import sign_in, type_readings
from tests.frontend.chromium import NEEDS_BROWSER, PHONE
from tests.frontend.large import NOTHING, enlarge, lost
from tests.frontend.phones import held, synced
from tests.languages import NAMES, OPEN, outside_brackets, speak_brackets

pytestmark = NEEDS_BROWSER
START = datetime(2025, 3, 4, 14, 37, tzinfo=UTC)


@pytest.fixture
def phone(chromium, live_server):
    """A phone that asks for German."""
    context = chromium.new_context(
        viewport=PHONE, base_url=live_server.url, locale="de-DE", timezone_id="UTC"
    )
    tab = context.new_page()
    tab.set_default_timeout(30_000)
    yield tab
    context.close()


@pytest.fixture
def brackets(settings, tmp_path):
    speak_brackets(settings, tmp_path)


def english_on(tab):
    page = tab.content()
    assert OPEN in page
    return outside_brackets(page, names=NAMES)


def test_the_sign_in_says_nothing_in_english(brackets, phone):
    phone.goto("/")
    said = []
    for typed in ("A", slip_code()[:-1], slip_code()[:-1] + "O", slip_code() + "A"):
        phone.locator("#slip_code").fill(typed)
        said += english_on(phone)
        phone.locator("#slip_code").blur()
        said += english_on(phone)

    assert said == []


def test_numbers_that_look_wrong_are_asked_about_without_english(brackets, phone):
    bench = make_bench(slip=slip_code(), vial_labels_checked=True)
    bench.course.protocols.update(
        document=protocol_document(limits={"percent_T": [0, 105]})
    )
    bench.group.issues.all().delete()
    sign_in(phone)
    typed = {
        "standard_mass_g": "210",
        "unknown_mass_g": "1,2,3",
        "vial": "ACD",
        "value-0": "0.36",
        "value-1": "0.12",
        "value-2": "435",
        "taken-3": "500",
    }
    phone.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    phone.locator("#station").select_option("4")
    for box, value in typed.items():
        phone.locator(f"#{box}").fill(value)

    assert phone.locator("[data-doubt]:not(:empty)").count() == 6
    assert phone.locator("[data-scale-doubt] button").count() == 1
    assert english_on(phone) == []


def test_the_reader_says_nothing_in_english_from_blank_to_end(brackets, phone):
    make_bench(slip=slip_code())
    sign_in(phone)
    phone.locator("[data-reader-open]").click()
    said = english_on(phone)
    for typed in ("", "43,5", "0,36", "", "", "", "99,5", ""):
        phone.keyboard.type(typed)
        said += english_on(phone)
        phone.keyboard.press("Enter")
        said += english_on(phone)
    phone.locator("[data-reader-left-out]").click()
    said += english_on(phone)
    for _ in ("U1", "U2"):
        phone.locator("[data-reader-page] [data-reader-move='1']").click()
    phone.locator("[data-reader-ended]").wait_for()

    assert said + english_on(phone) == []


def test_the_clock_of_the_colour_says_nothing_in_english(brackets, phone):
    bench = make_bench(slip=slip_code())
    bench.course.protocols.update(document=protocol_document(develop_min=15))
    phone.clock.install(time=START)
    sign_in(phone)
    said = english_on(phone)
    phone.locator("[data-timer-button]").click()
    said += english_on(phone)
    phone.clock.fast_forward(16 * 60_000)
    phone.locator("[data-timer-said]:not(:empty)").wait_for(state="attached")

    assert said + english_on(phone) == []


def test_signing_in_again_is_asked_for_without_english(brackets, phone):
    make_bench(slip=slip_code())
    sign_in(phone)
    type_readings(phone)
    synced(phone)
    Session.objects.all().delete()
    phone.locator("form[data-sheet] button.send").click()
    phone.locator("#again").fill("ACD-3FH-K7K")
    phone.locator("[data-sign-in-again] button").click()
    expect(phone.locator("#again-problem")).not_to_be_empty()

    assert english_on(phone) == []


def test_a_sheet_refused_in_place_is_explained_without_english(brackets, phone):
    make_bench(slip=slip_code())
    sign_in(phone)
    type_readings(phone)
    phone.locator("#value-3").fill("")
    phone.locator("form[data-sheet] button.send").click()
    phone.locator("[data-problems]").wait_for()

    assert english_on(phone) == []


def test_an_own_answer_is_asked_for_without_english(brackets, phone):
    bench = make_bench(slip=slip_code(), own_answer_first=True)
    submit(bench.group, raw_submission())
    worked_off()
    sign_in(phone)
    phone.goto("/bench/result/")
    said = english_on(phone)
    phone.locator(".own-answer button").click()
    phone.locator(".own-answer .problem").first.wait_for()

    assert said + english_on(phone) == []


def test_a_group_works_in_german_from_sign_in_to_result(phone):
    make_bench(slip=slip_code())
    phone.goto("/")
    phone.get_by_label("Zettelcode").fill(slip_code())
    phone.get_by_role("button", name="Anmelden").click()
    phone.wait_for_url("**/bench/")
    type_readings(phone)
    sheet = phone.locator("main").inner_text()
    phone.get_by_role("button", name="Fassung 1 senden").click()
    phone.wait_for_url("**/bench/result/1/")
    worked_off()
    phone.get_by_text("Eure Gerade steht; nichts ist zu prüfen").wait_for()
    result = phone.locator("main").inner_text()

    assert phone.locator("html").get_attribute("lang") == "de"
    assert re.search(r"12,\d\d ± 0,\d\d", result)
    assert "Massenanteil Eisen" in result
    assert re.findall(r"\d\.\d", sheet + result) == []


def test_what_moves_the_reader_on_stands_in_one_row(phone):
    make_bench(slip=slip_code())
    sign_in(phone)
    phone.locator("[data-reader-open]").click()

    moves = phone.locator("[data-reader-page] .moves button").all()

    assert len({button.bounding_box()["y"] for button in moves}) == 1
    assert lost(phone) == NOTHING


def test_german_words_at_twice_their_size_lose_nothing(phone):
    bench = make_bench(slip=slip_code())
    submit(bench.group, raw_submission(percent_T={"3": 45.0}))
    worked_off()
    enlarge(phone)
    phone.goto("/")
    home = lost(phone)
    sign_in(phone)
    phone.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    for index in range(7):
        phone.locator(f"#value-{index}").fill("135")
    phone.locator("#standard_mass_g").fill("210")
    phone.locator("form[data-sheet] button.send").click()
    phone.locator("[data-problems]").wait_for()
    sheet = lost(phone)
    phone.locator("[data-reader-open]").click()
    reader = lost(phone)
    phone.goto("/bench/result/")

    assert (home, sheet, reader, lost(phone)) == (NOTHING,) * 4


def test_a_language_chosen_on_the_sheet_is_the_one_that_is_held(phone):
    make_bench(slip=slip_code())
    sign_in(phone)
    held(phone)
    phone.get_by_role("button", name="English").click()
    phone.get_by_role("heading", name="Type what the meter shows").wait_for()
    held(phone)

    phone.context.set_offline(True)
    phone.reload()

    phone.get_by_role("heading", name="Type what the meter shows").wait_for()


def test_a_language_chosen_elsewhere_changes_the_sheet_that_is_held(phone):
    bench = make_bench(slip=slip_code())
    submit(bench.group)
    worked_off()
    sign_in(phone)
    held(phone)
    phone.goto("/bench/result/")
    phone.get_by_role("button", name="English").click()
    phone.get_by_role("link", name="Change something").wait_for()
    phone.wait_for_function(
        "async () => (await (await caches.match('/bench/')).text())"
        ".includes('<html lang=\"en\">')"
    )

    phone.context.set_offline(True)
    phone.goto("/bench/")

    assert phone.locator("html").get_attribute("lang") == "en"


def test_a_language_cannot_be_chosen_without_a_network_and_nothing_is_lost(phone):
    make_bench(slip=slip_code())
    sign_in(phone)
    held(phone)
    phone.locator("#standard_mass_g").fill("0,2100")
    phone.context.set_offline(True)

    phone.get_by_role("button", name="English").click()

    phone.wait_for_url("**/bench/")
    expect(phone.locator("#standard_mass_g")).to_have_value("0,2100")
