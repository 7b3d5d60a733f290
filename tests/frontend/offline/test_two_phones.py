"""Two phones of one pair: what they type meets, what one sends is sent for both."""

import pytest
from playwright.sync_api import expect

from results.models import Submission
from results.summaries.drafts import unsent_values
from tests.factories import (
    make_bench,
    perfect_readings,
    slip_code,
)
from tests.frontend.browsers import sign_in, type_readings
from tests.frontend.chromium import NEEDS_BROWSER, PHONE
from tests.frontend.phones import held, kept, synced, until

pytestmark = NEEDS_BROWSER


RESULT = "**/bench/result/1/"


def phone_of(chromium, live_server, *, skew_ms=0):
    """Another phone; its clock may be wrong."""
    context = chromium.new_context(
        viewport=PHONE, base_url=live_server.url, has_touch=True
    )
    context.add_init_script(
        f"const now = Date.now; Date.now = () => now.call(Date) + {skew_ms};"
    )
    page = context.new_page()
    page.set_default_timeout(30_000)
    sign_in(page)
    held(page)
    return page


def met(page, box, value):
    """Have a page meet the other phone's sheet now, until a box has what is there."""
    until(
        page,
        """async ([box, value]) => {
          document.dispatchEvent(new Event("visibilitychange"));
          await new Promise((resolve) => setTimeout(resolve, 200));
          return document.querySelector(box).value === value;
        }""",
        [box, value],
    )


@pytest.mark.parametrize("skew_h", [0, 3, -3])
def test_two_phones_of_a_pair_meet(chromium, live_server, skew_h):
    make_bench(slip=slip_code())
    one = phone_of(chromium, live_server, skew_ms=skew_h * 3_600_000)
    other = phone_of(chromium, live_server)
    one.context.set_offline(True)
    one.locator("#value-2").fill("61,5")
    one.locator("#unknown_mass_g").fill("0,2500")
    kept(one, "unknown_mass_g")
    # The site cannot tell which of two edits was later by less than a message takes.
    one.wait_for_timeout(1500)
    other.locator("#value-2").fill("62,0")
    other.locator("#standard_mass_g").fill("0,2100")
    other.locator("#station").select_option("4")
    kept(other, "station")
    synced(other)

    one.context.set_offline(False)
    expect(one.locator("#value-2")).to_have_value("62,0")
    expect(one.locator("#standard_mass_g")).to_have_value("0,2100")
    met(other, "#unknown_mass_g", "0,2500")
    notes = [page.locator("#value-2-earlier").inner_text() for page in (one, other)]
    one.get_by_role("button", name="Take 61,5").click()
    synced(one)
    met(other, "#value-2", "61,5")
    for page in (one, other):
        page.context.close()

    assert "earlier 61,5, from this phone" in notes[0]
    assert "earlier 61,5, from the other phone" in notes[1]


def test_what_one_phone_sends_is_sent_for_both(chromium, live_server):
    make_bench(slip=slip_code())
    one, other = (phone_of(chromium, live_server) for _ in range(2))
    type_readings(one)
    one.get_by_role("button", name="Send").click()
    one.wait_for_url(RESULT)

    typed = f"{perfect_readings()['U2']:.1f}".replace(".", ",")
    met(other, "#value-6", typed)
    expect(other.locator("[data-corner]")).not_to_contain_text("not sent")
    expect(other.get_by_role("button", name="Send revision 2")).to_be_visible()
    for page in (one, other):
        page.context.close()

    assert Submission.objects.count() == 1


def test_what_is_typed_while_the_phones_meet_is_sent_for_both(chromium, live_server):
    make_bench(slip=slip_code())
    one, other = (phone_of(chromium, live_server) for _ in range(2))
    type_readings(one)
    synced(one)
    held_back = []

    def hold_the_first(route):
        if route.request.method == "POST" and not held_back:
            held_back.append(route)
        else:
            route.continue_()

    one.route("**/bench/draft/", hold_the_first)
    one.locator("#standard_mass_g").fill("0,2200")
    one.locator("#standard_mass_g").blur()
    while not held_back:
        one.wait_for_timeout(20)
    one.locator("#unknown_mass_g").fill("0,2600")
    one.get_by_role("button", name="Send").click()
    # The phone has pressed Send, and waits for the meeting that is under way.
    one.wait_for_timeout(300)
    held_back[0].continue_()
    one.wait_for_url(RESULT)

    met(other, "#standard_mass_g", "0,2200")
    expect(other.locator("#unknown_mass_g")).to_have_value("0,2600")
    for page in (one, other):
        page.context.close()

    assert "unknown_mass_g" not in held_back[0].request.post_data
    assert Submission.objects.get().unknown_mass_g == 0.26


def test_what_is_sent_though_the_phones_cannot_meet_reaches_the_other(
    chromium, live_server
):
    make_bench(slip=slip_code())
    one, other = (phone_of(chromium, live_server) for _ in range(2))
    one.route("**/bench/draft/", lambda route: route.abort())
    type_readings(one)
    one.get_by_role("button", name="Send").click()
    one.wait_for_url(RESULT)

    sent = Submission.objects.get()
    met(other, "#standard_mass_g", str(sent.standard_mass_g))
    value = sent.readings.get(tube="U2").value
    expect(other.locator("#value-6")).to_have_value(str(value))
    expect(other.locator("[data-corner]")).not_to_contain_text("not sent")
    for page in (one, other):
        page.context.close()


def test_no_phones_meet_while_a_sheet_is_under_way(chromium, live_server):
    make_bench(slip=slip_code())
    one = phone_of(chromium, live_server)
    one.route("**/bench/draft/", lambda route: route.abort())
    type_readings(one)
    kept(one, "value/U2/1")
    sheets, meetings = [], []
    one.route("**/bench/", lambda route: sheets.append(route))  # noqa: PLW0108
    one.get_by_role("button", name="Send").click()
    while not sheets:
        one.wait_for_timeout(20)
    one.unroute("**/bench/draft/")
    one.on("request", lambda asked: "draft" in asked.url and meetings.append(asked))

    one.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    one.wait_for_timeout(300)
    n_meanwhile = len(meetings)
    sheets[0].continue_()
    one.wait_for_url(RESULT)
    one.context.close()

    assert n_meanwhile == 0
    assert Submission.objects.count() == 1


def test_a_sheet_that_overtakes_what_was_typed_on_it_is_sent_for_both(
    chromium, live_server
):
    bench = make_bench(slip=slip_code())
    one, other = (phone_of(chromium, live_server) for _ in range(2))
    one.locator("#standard_mass_g").fill("0,3000")
    synced(one)
    met(other, "#standard_mass_g", "0,3000")
    one.route("**/bench/draft/", lambda route: route.abort())
    type_readings(one)
    one.get_by_role("button", name="Send").click()
    one.wait_for_url(RESULT)

    met(other, "#standard_mass_g", "0.21")
    expect(other.locator("[data-corner]")).not_to_contain_text("not sent")
    one.unroute("**/bench/draft/")
    one.goto("/bench/")
    synced(one)
    for page in (one, other):
        expect(page.locator("[data-sending-words]")).not_to_contain_text("not sent")
        page.context.close()

    assert unsent_values(bench.group.pk) == {}
