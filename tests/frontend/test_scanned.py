"""Printed codes, read as a camera reads them, lead where they say."""

import io

import pytest
import zxingcpp
from django.urls import reverse
from PIL import Image
from playwright.sync_api import expect

from tests.factories import (
    make_bench,
    make_group,
    make_lot,
    make_staff,
    make_station,
    make_vial,
    slip_code,
)
from tests.frontend.browsers import sign_in, staff_sign_in
from tests.frontend.chromium import NEEDS_BROWSER, PHONE

pytestmark = NEEDS_BROWSER


@pytest.fixture
def phone(chromium, live_server):
    """The students' phone, which knows nothing of the staff's desk."""
    context = chromium.new_context(viewport=PHONE, base_url=live_server.url)
    page = context.new_page()
    page.requested = []
    page.on("request", lambda request: page.requested.append(request.url))
    yield page
    context.close()


def read_by_camera(tab):
    """What the first printed code on a page says to a decoder of its own."""
    picture = tab.locator(".square svg").first.screenshot()
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(picture)))
    assert found.format.name == "QRCode"
    return found.text


def printed_slip(tab, section, scheme="light"):
    tab.emulate_media(color_scheme=scheme)
    staff_sign_in(tab, "ben")
    tab.goto(reverse("section-slips", args=[section.pk]))
    tab.get_by_label("Group 1").check()
    tab.get_by_role("button", name="Make the slips").click()
    tab.locator("[data-slip-code]").first.wait_for()
    return read_by_camera(tab)


@pytest.fixture
def bench():
    bench = make_bench(slip=slip_code())
    make_staff("ben", role="assistant", section=bench.section)
    return bench


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_printed_slip_signs_the_group_in_by_camera(tab, phone, bench, scheme):
    address = printed_slip(tab, bench.section, scheme)

    phone.goto(address)
    phone.wait_for_url("**/bench/")

    assert "Group 1" in phone.locator(".bar").inner_text()


def test_the_code_of_a_slip_reaches_no_address_that_a_server_sees(tab, phone, bench):
    address = printed_slip(tab, bench.section)
    code = address.partition("#")[2]

    phone.goto(address)
    phone.wait_for_url("**/bench/")

    assert len(code) == 9
    assert not [url for url in phone.requested if code in url.partition("#")[0]]
    phone.go_back()
    assert code not in phone.url


def test_a_scanned_slip_takes_the_place_of_who_was_signed_in(tab, phone, bench):
    make_vial(
        make_lot(bench.course, code="L2"),
        code="9",
        group=make_group(bench.section, "2", slip=slip_code(2)),
    )
    sign_in(phone, number=2)
    address = printed_slip(tab, bench.section)

    phone.goto(address)
    phone.wait_for_url("**/bench/")

    assert "Group 1" in phone.locator(".bar").inner_text()


def test_a_spoilt_code_is_not_sent(phone):
    phone.goto(reverse("slip-door") + "#ACD3FHK7Y")

    assert phone.get_by_label("Slip code").is_visible()
    assert phone.url.endswith("#ACD3FHK7Y")


def sticker_of(tab, bench, code):
    staff_sign_in(tab, "ben")
    tab.goto(reverse("station-stickers", args=[bench.course.code]))
    card = tab.locator(".card", has=tab.get_by_text(code, exact=True))
    picture = card.locator("svg").screenshot()
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(picture)))
    return found.text


def test_a_sticker_chooses_its_station_with_its_scale(tab, phone, bench):
    make_station(bench.course, code="S/7 b", scale="absorbance")
    address = sticker_of(tab, bench, "S/7 b")
    sign_in(phone)

    phone.goto(address)

    expect(phone.locator("#station")).to_have_value("S/7 b")
    expect(phone.locator("[name=scale][value=absorbance]")).to_be_checked()


def test_a_sticker_counts_more_than_what_the_phone_kept(tab, phone, bench):
    make_station(bench.course, code="7")
    sign_in(phone)
    phone.locator("#station").select_option("4")
    phone.locator("#standard_mass_g").fill("0,2100")

    phone.goto(reverse("station-door", args=["7"]))

    expect(phone.locator("#station")).to_have_value("7")
    expect(phone.locator("#standard_mass_g")).to_have_value("0,2100")
    phone.locator("#station").select_option("4")
    phone.reload()
    expect(phone.locator("#station")).to_have_value("4")


def test_a_station_chosen_before_signing_in_is_on_the_sheet_afterwards(phone, bench):
    phone.goto(reverse("station-door", args=["4"]))
    assert "Sign in with your slip" in phone.locator("main").inner_text()

    phone.get_by_label("Slip code").fill(slip_code())
    phone.get_by_role("button", name="Sign in").click()
    phone.wait_for_url("**/bench/**")

    expect(phone.locator("#station")).to_have_value("4")
