"""What looks wrong on the sheet is asked about at once, in words."""

import pytest
from playwright.sync_api import expect

from tests.factories import make_bench, protocol_document, slip_code
from tests.frontend.browsers import sign_in, type_readings, violations
from tests.frontend.chromium import NEEDS_BROWSER

pytestmark = NEEDS_BROWSER
LIMITS = {
    "standard_mass_g": [0.15, 0.3],
    "percent_T": [0, 105],
    "absorbance": [-0.02, 3],
}


@pytest.fixture
def sheet(tab):
    bench = make_bench(slip=slip_code())
    bench.course.protocols.update(document=protocol_document(limits=LIMITS))
    bench.station.step = 0.5
    bench.station.save()
    sign_in(tab)
    return tab


def doubt(tab, box):
    return tab.locator(f"#{box}-doubt").inner_text()


@pytest.mark.parametrize(
    ("box", "typed", "words"),
    [
        ("standard_mass_g", "210", "210 looks like milligrams: in grams 0.21."),
        ("standard_mass_g", "0,9", "0.9 g is outside 0.15 to 0.3 g."),
        ("standard_mass_g", "0,21", ""),
        ("standard_mass_g", "0.2.1", "“0.2.1” is not a number."),
        ("value-0", "0,362", "0.362 looks like absorbance. Is the scale right?"),
        ("value-0", "135", "135 %T is outside 0 to 105."),
        ("value-0", "43.5", ""),
        ("value-0", "", ""),
    ],
)
def test_a_box_says_what_looks_wrong(sheet, box, typed, words):
    sheet.locator(f"#{box}").fill(typed)

    assert doubt(sheet, box).startswith(words)
    assert bool(doubt(sheet, box)) == bool(words)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("43.5", "43.5 looks like % transmittance. Is the scale right?"),
        ("2.6", "2.6 looks like % transmittance."),
        ("-0.5", "−0.5 A is outside −0.02 to 3."),
        ("0.362", ""),
    ],
)
def test_absorbances_are_held_against_their_own_limits(sheet, typed, words):
    sheet.get_by_label("absorbance", exact=True).check()
    sheet.locator("#value-0").fill(typed)

    assert doubt(sheet, "value-0").startswith(words)
    assert bool(doubt(sheet, "value-0")) == bool(words)


def test_a_volume_that_the_flask_cannot_hold_is_asked_about(sheet):
    sheet.locator("[data-tube='1'] summary").click()
    sheet.locator("#taken-0").fill("500")

    words = "500 mL cannot have gone into a 100 mL flask."
    assert doubt(sheet, "taken-0") == words


def test_a_reading_finer_than_the_meter_is_asked_about_once_the_meter_is_known(sheet):
    sheet.locator("#value-0").fill("43.3")
    before = doubt(sheet, "value-0")

    sheet.locator("#station").select_option("4")

    assert before == ""
    assert "finer than this meter’s step of 0.5 %T" in doubt(sheet, "value-0")


def test_readings_of_the_other_scale_offer_to_change_it(sheet):
    for index, value in enumerate(("0.05", "0.12", "0.23")):
        sheet.locator(f"#value-{index}").fill(value)
    place = sheet.locator("[data-scale-doubt]")
    words = place.inner_text()

    place.get_by_role("button").click()

    assert words.startswith("3 of 3 readings look like absorbance.")
    expect(sheet.locator("[name=scale][value=absorbance]")).to_be_checked()
    assert place.inner_text() == ""
    assert doubt(sheet, "value-0") == ""


def test_a_single_odd_reading_does_not_question_the_scale(sheet):
    sheet.locator("#value-0").fill("0.05")
    sheet.locator("#value-1").fill("72")

    assert sheet.locator("[data-scale-doubt]").inner_text() == ""


def test_a_scale_that_the_station_does_not_have_is_asked_about(sheet):
    sheet.locator("#station").select_option("4")
    sheet.get_by_label("absorbance", exact=True).check()

    assert (
        "Station 4 shows % transmittance."
        in sheet.locator("[data-scale-doubt]").inner_text()
    )


def test_a_number_asked_about_is_sent_all_the_same(sheet):
    type_readings(sheet)
    sheet.locator("#value-0").fill("86.13")
    assert "finer" in doubt(sheet, "value-0")

    sheet.get_by_role("button", name="Send").click()

    sheet.wait_for_url("**/bench/result/1/")


def test_the_unit_beside_a_box_is_that_of_the_scale(sheet):
    units = sheet.locator("[data-tube='1'] .tube-line .unit")
    before = [one for one in units.all() if one.is_visible()]
    texts = [one.inner_text() for one in before]

    sheet.get_by_label("absorbance", exact=True).check()

    assert texts == ["%T"]
    assert [one.inner_text() for one in units.all() if one.is_visible()] == ["A"]


def test_the_steps_repeat_what_the_group_weighed_and_took(sheet):
    sheet.locator("#standard_mass_g").fill("0,2104")
    sheet.locator(".steps > summary").click()
    sheet.locator(".takes a", has_text="tube 2").click()
    sheet.keyboard.type("10,05")

    expect(sheet.locator("#taken-1")).to_have_value("10,05")
    shown = sheet.locator("[data-actual-of]:visible")
    assert shown.all_inner_texts() == ["yours: 0,2104 g", "yours: 10,05 mL"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_sheet_full_of_questions_has_no_barrier(sheet, scheme):
    sheet.emulate_media(color_scheme=scheme)
    sheet.locator("#standard_mass_g").fill("210")
    for index, value in enumerate(("0.05", "0.12", "0.23")):
        sheet.locator(f"#value-{index}").fill(value)
    sheet.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")

    assert violations(sheet) == []
