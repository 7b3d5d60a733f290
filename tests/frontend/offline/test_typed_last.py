"""What is typed in the moment of leaving, or of sending, is neither lost nor sent."""

from playwright.sync_api import expect

from results.models import Submission
from tests.frontend.browsers import type_readings
from tests.frontend.chromium import NEEDS_BROWSER
from tests.frontend.phones import kept

pytestmark = NEEDS_BROWSER


def test_a_box_typed_in_the_moment_of_leaving_is_kept(tab, bench):
    # In one step of the page, so that nothing can be written before it goes.
    tab.evaluate(
        """() => {
          const box = document.querySelector("#standard_mass_g");
          box.value = "0,2100";
          box.dispatchEvent(new Event("input", { bubbles: true }));
          window.dispatchEvent(new PageTransitionEvent("pagehide"));
        }"""
    )
    left = tab.evaluate("window.bench.leaving.left().map((one) => one.value)")
    tab.evaluate(
        """async () => {
          await new Promise((resolve) => setTimeout(resolve, 300));
          await window.bench.keeper.forgetBoxes(await window.bench.keeper.allBoxes());
        }"""
    )
    tab.context.set_offline(True)
    tab.reload()

    expect(tab.locator("#standard_mass_g")).to_have_value("0,2100")
    assert left == ["0,2100"]
    assert tab.evaluate("Object.keys(localStorage)") == []


def test_a_box_put_aside_does_not_undo_a_later_one(tab, bench):
    tab.locator("#standard_mass_g").fill("0,2100")
    kept(tab, "standard_mass_g")
    tab.evaluate(
        """async () => {
          const [box] = await window.bench.keeper.allBoxes();
          const earlier = { ...box, value: "0,1900", stamp_ms: box.stamp_ms - 1 };
          localStorage.setItem("benchwide-typed-last", JSON.stringify([earlier]));
        }"""
    )
    tab.context.set_offline(True)

    tab.reload()

    expect(tab.locator("#standard_mass_g")).to_have_value("0,2100")


def test_what_is_typed_while_the_sheet_is_put_up_is_not_called_sent(tab, bench):
    type_readings(tab)
    tab.context.set_offline(True)
    tab.evaluate(
        """() => {
          document.querySelector("button.send").click();
          const box = document.querySelector("#unknown_mass_g");
          box.value = "0,2600";
          box.dispatchEvent(new Event("input", { bubbles: true }));
        }"""
    )
    tab.get_by_text("No network: not sent").wait_for()

    tab.context.set_offline(False)
    tab.get_by_role("button", name="Send revision 2").wait_for()
    tab.get_by_text("not sent yet").wait_for()

    assert Submission.objects.get().unknown_mass_g == 0.25
