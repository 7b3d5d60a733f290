"""A station's sticker, where there is no network either."""

from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import make_bench, slip_code
from tests.frontend.browsers import sign_in
from tests.frontend.chromium import NEEDS_BROWSER
from tests.frontend.phones import held, kept

pytestmark = NEEDS_BROWSER


def test_a_sticker_chooses_on_the_sheet_that_is_held(tab):
    make_bench(slip=slip_code())
    sign_in(tab)
    held(tab)
    tab.context.set_offline(True)

    tab.goto(reverse("station-door", args=["4"]))
    kept(tab, "station")

    expect(tab.locator("#station")).to_have_value("4")
    assert "/bench/" in tab.url


def test_a_station_that_a_sticker_chose_is_kept_on_the_phone(tab):
    make_bench(slip=slip_code())
    sign_in(tab)

    tab.goto(reverse("station-door", args=["4"]))

    kept(tab, "station")
    expect(tab.locator("#station")).to_have_value("4")
