import time

from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import (
    make_bench,
    make_staff,
    slip_code,
    submit,
    worked_off,
)
from tests.frontend.browsers import (
    make_class_in,
    sign_in,
    staff_sign_in,
    type_readings,
)
from tests.frontend.chromium import NEEDS_BROWSER, PHONE

pytestmark = NEEDS_BROWSER


def test_readings_typed_with_commas_are_computed_within_three_seconds(tab):
    bench = make_bench(slip=slip_code())
    make_staff("ben", role="assistant", section=bench.section)
    sign_in(tab)
    type_readings(tab)
    assert "slope 0.19" in tab.locator("[data-live-words]").inner_text()

    tab.get_by_role("button", name="Send").click()
    tab.wait_for_url("**/bench/result/1/")
    assert "being computed" in tab.locator("h1").inner_text()
    worked_off()
    since = time.monotonic()
    tab.locator("svg.plate .fit").wait_for(state="attached")
    took_s = time.monotonic() - since
    corner = tab.locator(".corner").inner_text()
    staff_sign_in(tab, "ben")
    tab.get_by_role("link", name="Section A1").click()
    tab.locator(".tile svg").first.wait_for()

    assert took_s < 3
    assert "computed" in corner
    assert "12.0" in tab.locator(".tile").first.inner_text()
    assert tab.complaints == []


def test_the_picture_has_no_numbers_before_there_are_any(tab):
    make_bench(slip=slip_code())
    sign_in(tab)
    axis = tab.locator("[data-live-picture] .axis")

    before = axis.locator("text").all_text_contents()
    type_readings(tab)

    assert before == ["iron, mg/L", "absorbance"]
    assert axis.locator("line").count() > 4


def test_a_blank_is_no_dot_on_the_line(tab):
    make_bench(slip=slip_code())
    sign_in(tab)
    type_readings(tab)
    dots = tab.locator("[data-live-picture] .dot")
    before = dots.count()

    tab.locator("[data-tube=blank] [data-reading]").fill("99,5")

    assert dots.count() == before == 7


def test_only_the_limit_of_the_chosen_scale_is_shown(tab):
    make_bench(slip=slip_code())
    sign_in(tab)
    limits = tab.locator(".for-percent_T"), tab.locator(".for-absorbance")

    before = [limit.is_visible() for limit in limits]
    tab.get_by_label("absorbance", exact=True).check()

    assert before == [True, False]
    assert [limit.is_visible() for limit in limits] == [False, True]


def test_a_refusal_keeps_what_was_typed_and_moves_to_the_list(tab):
    make_bench(slip=slip_code())
    sign_in(tab)
    type_readings(tab)
    tab.locator("#standard_mass_g").fill("210")

    tab.get_by_role("button", name="Send").click()
    tab.locator("#problems").wait_for()

    assert tab.evaluate("document.activeElement.id") == "problems"
    expect(tab.locator("#standard_mass_g")).to_have_value("210")
    expect(tab.locator("#value-6")).not_to_have_value("")


def test_without_a_network_the_sheet_keeps_and_sends_later(tab):
    make_bench(slip=slip_code())
    sign_in(tab)
    type_readings(tab)
    tab.context.set_offline(True)

    tab.get_by_role("button", name="Send").click()
    tab.get_by_text("Kept on this phone").wait_for()
    corner = tab.locator(".corner").inner_text()
    tab.context.set_offline(False)
    tab.wait_for_url("**/bench/result/1/")

    assert "on this phone" in corner
    assert tab.evaluate("Object.keys(localStorage)") == []


def test_a_reopened_sheet_has_what_was_typed(tab):
    make_bench(slip=slip_code())
    sign_in(tab)
    type_readings(tab)

    tab.reload()
    # The page arrives as the site knows it; then the phone puts its own in.
    tab.locator(".corner", has_text="on this phone").wait_for()

    expect(tab.locator("#value-0")).not_to_have_value("")


def test_the_scale_follows_the_station(tab):
    bench = make_bench(slip=slip_code())
    bench.station.scale = "absorbance"
    bench.station.save()
    sign_in(tab)

    tab.locator("#station").select_option("4")

    expect(tab.locator("[name=scale][value=absorbance]")).to_be_checked()


def test_without_scripts_a_sheet_is_sent_all_the_same(chromium, live_server):
    make_bench(slip=slip_code())
    context = chromium.new_context(
        viewport=PHONE, base_url=live_server.url, java_script_enabled=False
    )
    tab = context.new_page()
    sign_in(tab)
    type_readings(tab)

    tab.get_by_role("button", name="Send").click()
    tab.wait_for_url("**/bench/result/1/")
    words = tab.locator("h1").inner_text()
    context.close()

    assert "Received" in words


def test_a_sorted_table_stays_sorted(tab):
    bench = make_bench()
    make_class_in(bench)
    make_staff("ada", course=bench.course)
    staff_sign_in(tab, "ada")
    tab.goto(reverse("section", args=[bench.section.pk]))

    heading = tab.locator("th", has_text="group").first
    heading.get_by_role("button").click()
    heading.get_by_role("button").click()
    tab.reload()

    assert heading.get_attribute("aria-sort") == "descending"
    assert tab.locator("tbody tr").first.locator("th").inner_text().startswith("16")


def test_a_check_by_drawing_opens_in_place(tab):
    bench = make_bench()
    submit(bench.group)
    worked_off()
    make_staff("ada", course=bench.course)
    staff_sign_in(tab, "ada")
    address = reverse("computation", args=[bench.group.pk])
    tab.goto(address)

    tab.get_by_role("link", name="Check by drawing").click()
    tab.locator("#drawn svg.histogram").wait_for()

    assert tab.url.endswith(address)
    assert "JCGM 101:2008, clause 8" in tab.locator("#drawn").inner_text()
    assert tab.complaints == []


def test_the_course_page_draws_its_figures(tab):
    bench = make_bench()
    make_class_in(bench)
    make_staff("ada", course=bench.course)
    staff_sign_in(tab, "ada")

    tab.goto(reverse("course", args=[bench.course.code]))
    tab.locator("[data-figure=slopes-data] svg.main-svg").first.wait_for()

    assert tab.complaints == []
