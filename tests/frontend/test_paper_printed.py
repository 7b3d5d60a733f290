"""Paper as it leaves the printer: true to size, and read back by a decoder."""

import io
import re

import pytest
import zxingcpp
from django.urls import reverse
from PIL import Image

from frontend.preparing.label_layouts import LAYOUTS
from results.policy.codes import check_sign, in_parts
from tests.factories import (
    make_bench,
    make_group,
    make_section,
    make_staff,
    make_station,
    make_vial,
    slip_code,
)
from tests.frontend.browsers import sign_in, staff_sign_in, violations
from tests.frontend.chromium import DESK, NEEDS_BROWSER, PHONE

pytestmark = NEEDS_BROWSER
# A common office printer at its coarse setting; CSS has 96 pixels an inch.
DPI, CSS_DPI, MM_PER_INCH = 200, 96, 25.4
VIALS = ("346-78", "ACD-3F", "KMN-PR")
SCREENS = (
    "prepare-paper",
    "paper-vials",
    "paper-slips",
    "paper-stickers",
    "paper-calibration",
    "paper-worksheet",
    "paper-prep-room",
    "paper-handout",
)


@pytest.fixture
def bench():
    bench = make_bench(slip=slip_code(), term="Spring term")
    for code in VIALS:
        make_vial(bench.lot, code=code)
    make_station(bench.course, code="7", place="by the window, second row")
    make_staff("ada", course=bench.course)
    return bench


@pytest.fixture
def printer(chromium, live_server, bench):
    """A page as it is put on paper, at the printer's resolution."""
    context = chromium.new_context(
        viewport=DESK, base_url=live_server.url, device_scale_factor=DPI / CSS_DPI
    )
    page = context.new_page()
    page.complaints = []
    page.on(
        "console",
        lambda message: (
            page.complaints.append(message.text) if message.type == "error" else None
        ),
    )
    staff_sign_in(page, "ada")
    page.emulate_media(media="print", color_scheme="dark")
    yield page
    context.close()


def address(name, **chosen):
    query = "&".join(f"{key}={value}" for key, value in chosen.items())
    return f"{reverse(name, args=['IRON-1'])}?{query}"


def sheet_of(page):
    """The first sheet of labels, as its printer would make it."""
    picture = page.locator(".label-page").first.screenshot()
    return Image.open(io.BytesIO(picture))


def codes_on(picture):
    """What a decoder reads, with the middle of each code in mm."""
    found = {}
    for code in zxingcpp.read_barcodes(picture):
        corners = (code.position.top_left, code.position.bottom_right)
        found[code.text] = tuple(
            sum(getattr(corner, axis) for corner in corners) / 2 / DPI * MM_PER_INCH
            for axis in ("x", "y")
        )
    return found


def pages_of(pdf):
    """Sizes in mm of the pages of a PDF, as its page tree has them."""
    boxes = re.findall(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    return [
        tuple(round(float(side) / 72 * MM_PER_INCH, 1) for side in box) for box in boxes
    ]


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.key)
def test_squares_are_read_back_from_every_sheet_where_its_labels_lie(printer, layout):
    printer.goto(address("paper-vials", layout=layout.key, supplied_g="1.2"))

    found = codes_on(sheet_of(printer))

    assert sorted(found) == ["346-78", "417", "ACD-3F", "KMN-PR"]
    for code, (x_mm, y_mm) in zip(sorted(found), layout.slots(), strict=False):
        # The square stands on the left of its label, halfway down.
        assert x_mm < found[code][0] < x_mm + layout.width_mm / 2
        assert found[code][1] == pytest.approx(y_mm + layout.height_mm / 2, abs=0.5)
    assert printer.complaints == []


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.key)
def test_sheets_are_pages_of_their_size_and_no_word_is_cut_off(printer, layout):
    printer.goto(address("paper-vials", layout=layout.key, copies=4, supplied_g="1.2"))

    cut_off = printer.eval_on_selector_all(
        ".label",
        "all => all.filter(one => one.scrollHeight > one.clientHeight + 1"
        " || one.scrollWidth > one.clientWidth + 1).map(one => one.innerText)",
    )
    pages = pages_of(printer.pdf(prefer_css_page_size=True))

    assert cut_off == []
    size = (round(layout.page_width_mm, 1), round(layout.page_height_mm, 1))
    assert len(pages) == -(-16 // layout.per_page)
    for page in pages:
        assert page == pytest.approx(size, abs=0.2)


def test_an_own_sheet_is_printed_where_it_was_measured(printer):
    own = {"columns": 2, "rows": 5, "width_mm": 81.3, "height_mm": "44,7"}
    own |= {"left_mm": 17, "top_mm": 21.5, "column_gap_mm": 9, "row_gap_mm": 4}
    printer.goto(address("paper-vials", layout="own", page="letter", start=4, **own))

    found = codes_on(sheet_of(printer))

    # Label 4 is the second of the second row: one label and one gap further.
    assert found["346-78"][1] == pytest.approx(21.5 + 44.7 + 4 + 44.7 / 2, abs=0.5)
    assert found["346-78"][0] > 17 + 81.3 + 9


def test_a_slip_read_from_its_sheet_signs_its_group_in(printer, chromium, bench):
    other = make_group(
        make_section(bench.course, "B2"),
        "9",
        students=("A. Person with a long name", "Another Person"),
    )
    make_vial(bench.lot, code="W3", group=other)
    printer.goto(address("paper-slips"))
    printer.get_by_label("Group 1").check()
    printer.emulate_media(media="screen")
    printer.get_by_role("button", name="Make the slips").click()
    printer.locator("[data-slip-code]").first.wait_for()
    printer.emulate_media(media="print")
    addresses = codes_on(sheet_of(printer))

    context = chromium.new_context(viewport=PHONE)
    phone, groups = context.new_page(), []
    for read in addresses:
        phone.goto(read)
        phone.wait_for_url("**/bench/")
        groups.append(phone.locator(".who").inner_text().split("\n")[0])
    context.close()

    assert sorted(one[: len("Group 1")] for one in groups) == ["Group 1", "Group 9"]


def test_a_vials_square_says_what_the_bench_sheet_takes(printer, tab, bench):
    bench.course.vial_labels_checked = True
    bench.course.save()
    make_group(bench.section, "2", slip=slip_code(2))
    code = in_parts("ACD9" + check_sign("ACD9"))
    make_vial(bench.lot, code=code)
    printer.goto(address("paper-vials"))
    (read,) = [one for one in codes_on(sheet_of(printer)) if one.startswith("ACD-9")]

    sign_in(tab, number=2)
    tab.locator("#vial").fill(read)

    assert tab.locator("#vial-check").inner_text() == f"{code} ✓"


def test_a_sticker_read_from_its_sheet_leads_to_its_station(printer):
    printer.goto(address("paper-stickers", layout="a4-plain-2x4-90x66"))

    found = codes_on(sheet_of(printer))

    assert sorted(read.rpartition("/s/")[2] for read in found) == ["4/", "7/"]


def test_the_calibration_sheet_is_true_to_the_millimetre(printer):
    printer.goto(address("paper-calibration"))

    ticks = printer.eval_on_selector_all(
        ".calibration text[y='18']",
        "all => Object.fromEntries(all.map(one => [one.textContent, (box =>"
        " (box.left + box.right) / 2)(one.getBoundingClientRect())]))",
    )
    pages = pages_of(printer.pdf(prefer_css_page_size=True))

    hundred_mm = (ticks["150"] - ticks["50"]) / CSS_DPI * MM_PER_INCH
    assert pages == [pytest.approx((210, 297), abs=0.2)]
    assert hundred_mm == pytest.approx(100, abs=0.1)


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("language", ["en", "de"])
def test_the_handout_is_one_page(printer, size, language):
    printer.goto(address("paper-handout", language=language))

    assert len(pages_of(printer.pdf(format=size))) == 1


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_worksheet_of_two_sections_is_two_pages_at_most(printer, bench, size):
    second = make_section(bench.course, "B2")
    for number in range(2, 13):
        make_group(bench.section, str(number))
        make_group(second, str(number))
    printer.goto(address("paper-worksheet"))

    assert len(pages_of(printer.pdf(format=size))) <= 2


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_screens_of_paper_have_no_barrier_and_fit_a_phone(tab, bench, scheme):
    tab.emulate_media(color_scheme=scheme)
    staff_sign_in(tab, "ada")
    found, wide = [], []
    for name in SCREENS:
        tab.set_viewport_size(DESK)
        tab.goto(address(name))
        tab.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        found += violations(tab)
        tab.set_viewport_size({"width": 320, "height": 700})
        if tab.evaluate("document.documentElement.scrollWidth") > 320:
            wide.append(name)
    tab.goto(address("paper-vials", layout="own"))
    found += violations(tab)

    assert (found, wide) == ([], [])
