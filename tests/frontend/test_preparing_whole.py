"""From an empty site to a group at its bench: every page of preparing a course."""

import io
import re

import zxingcpp
from django.urls import reverse
from PIL import Image

from results.models import Course, Group, Issue, Student
from tests.factories import make_course, make_staff
from tests.frontend.browsers import staff_sign_in
from tests.frontend.chromium import NEEDS_BROWSER, PHONE
from tests.frontend.test_preparing_browser import CODE, prepare_everything, press, step

pytestmark = NEEDS_BROWSER
LOTS = {"L1": "7,20", "L2": "9,10", "L3": "11,40", "L4": "13,90"}
VIALS_A_LOT = 24
SECTIONS, GROUPS = 6, 12


def make_the_lots(tab):
    step(tab, "Lots")
    tab.get_by_label("Codes of new lots, parted by commas").fill(", ".join(LOTS))
    press(tab, "Make them")
    for lot, iron_percent in LOTS.items():
        step(tab, "Lots")
        tab.get_by_role("link", name=lot, exact=True).click()
        tab.get_by_role("link", name="A certificate’s value").click()
        tab.get_by_label("Iron content, % by mass").fill(iron_percent)
        tab.get_by_label("Expanded uncertainty U, % by mass").fill("0,06")
        press(tab, "Enter it")
        press(tab, "See what would be assigned")
        press(tab, "Assign it")


def draw_the_vials(tab):
    step(tab, "Vials")
    for lot in LOTS:
        tab.locator("#lot").select_option(label=lot)
        tab.get_by_label("How many").fill(str(VIALS_A_LOT))
        press(tab, "Draw them")


def read_the_roster(tab):
    step(tab, "Roster")
    rows = ["Name;Matr.-Nr.;Section"]
    for number in range(SECTIONS * GROUPS * 2):
        section = number // (GROUPS * 2) + 1
        rows.append(f"Person {number:03d};S{number:04d};A{section}")
    tab.locator("#file").set_input_files(
        {
            "name": "people.csv",
            "mimeType": "text/csv",
            "buffer": "\n".join(rows).encode("utf-8-sig"),
        }
    )
    press(tab, "Read the file")
    tab.get_by_label("Column Matr.-Nr. is").select_option("number")
    press(tab, "Show what would change")
    press(tab, "Carry out")


def fill_the_groups(tab):
    step(tab, "Groups")
    tab.locator("[name=scope]").select_option("all")
    press(tab, "Show the groups")
    press(tab, "Carry out")


def issue_the_vials(tab):
    step(tab, "Issuing")
    press(tab, "See the plan")
    tab.get_by_role("button", name=re.compile(r"Issue \d+ vials")).click()
    tab.get_by_role("heading", name="vials by bench").wait_for()


def print_the_slips(tab):
    """Make all slips; return what a camera reads on the first sheet."""
    step(tab, "Paper")
    tab.get_by_role("button", name="Group slips").click()
    tab.get_by_role("button", name="Make the slips").click()
    tab.locator("[data-slip-code]").first.wait_for()
    tab.emulate_media(media="print")
    sheet = tab.locator(".label-page").first.screenshot()
    read = [one.text for one in zxingcpp.read_barcodes(Image.open(io.BytesIO(sheet)))]
    tab.emulate_media(media="screen")
    return read


def test_a_course_is_built_from_nothing_and_its_printed_slip_signs_in(
    chromium, live_server
):
    make_course()
    make_staff("ada")
    desk = chromium.new_context(base_url=live_server.url, device_scale_factor=2)
    tab = desk.new_page()
    staff_sign_in(tab, "ada")

    prepare_everything(tab)
    for part in (make_the_lots, draw_the_vials, read_the_roster, fill_the_groups):
        part(tab)
    issue_the_vials(tab)
    slips = print_the_slips(tab)
    tab.goto(reverse("prepare", args=[CODE]))
    words = tab.locator("main").inner_text()
    phone = chromium.new_context(viewport=PHONE).new_page()
    phone.goto(slips[0])
    phone.wait_for_url("**/bench/")
    signed_in = phone.locator(".who").inner_text()
    phone.context.close()
    desk.close()

    course = Course.objects.get(code=CODE)
    groups = Group.objects.filter(section__course=course)
    assert groups.exclude(slip_digest=None).count() == SECTIONS * GROUPS
    assert Issue.objects.live().filter(group__in=groups).count() == SECTIONS * GROUPS
    assert Student.objects.filter(course=course, group__in=groups).count() == 144
    assert "Nothing is missing: the first student can work" in words
    assert len(slips) > 5
    assert signed_in.startswith("Group ")
