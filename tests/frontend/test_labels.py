"""Labels: what stands on them, how large, and where a run begins."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from frontend.preparing.label_layouts import DEFAULT_LAYOUT, LAYOUTS
from frontend.preparing.label_runs import Label, copies_of, lay_out
from frontend.preparing.label_sizes import (
    Content,
    label_sizes,
    read_content,
    stylesheet,
)
from frontend.preparing.paper_labels import labels_of_vials
from frontend.printed_codes import modules_along
from results.policy.refusals import NotAdmitted
from results.summaries.preparing.paper import VialLabels

VIAL = Content(code=6, lines=(40, 24), modules=29)
contents = st.builds(
    Content,
    code=st.integers(1, 40),
    lines=st.lists(st.integers(1, 80), min_size=1, max_size=6).map(tuple),
    modules=st.integers(29, 57),
    by_hand=st.booleans(),
)


def label(code):
    return Label(code, code, f"Code of {code}", ("Iron unknown.", "Spring"))


def found(*codes, term="Spring term"):
    return VialLabels("IRON-1", "Iron", term, "", codes, ())


@given(layout=st.sampled_from(LAYOUTS), content=contents)
def test_what_stands_on_a_label_is_no_larger_than_the_label(layout, content):
    try:
        sizes = label_sizes(layout, content)
    except NotAdmitted:
        return

    inner_mm = layout.width_mm - 2 * sizes.inset_x_mm
    words_mm = inner_mm - sizes.square_mm - sizes.gap_mm
    assert sizes.square_mm + sizes.hand_mm <= layout.height_mm - 2 * sizes.inset_y_mm
    # A sign of the widest typeface at hand is 0.61 of its size wide.
    assert 0.61 * sizes.code_mm * content.code <= words_mm


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.key)
def test_a_vial_label_fits_every_sheet_of_the_list(layout):
    sizes = label_sizes(layout, VIAL)

    # What phones want of a module, and readers of a letter: common practice.
    assert sizes.square_mm / VIAL.modules >= 0.3
    assert sizes.words_mm >= 1.75
    assert sizes.code_mm >= sizes.words_mm


def test_white_edges_of_a_printer_are_left_free():
    assert DEFAULT_LAYOUT.left_mm + label_sizes(DEFAULT_LAYOUT, VIAL).inset_x_mm >= 5


def test_a_label_that_is_too_small_is_refused():
    small = next(layout for layout in LAYOUTS if layout.height_mm < 15)
    slip = Content(code=11, lines=(30, 60, 12, 60, 60), modules=37)

    with pytest.raises(NotAdmitted) as refusal:
        label_sizes(small, slip)

    assert "too small" in refusal.value.problems[0].message


def test_only_high_labels_have_lines_to_fill_in():
    slip = Content(code=11, lines=(30, 40), modules=33, by_hand=True)
    hand_mm = {
        layout.height_mm >= 50: label_sizes(layout, slip).hand_mm
        for layout in LAYOUTS
        if layout.height_mm > 30
    }

    assert hand_mm == {True: 11.0, False: 0.0}


def test_the_address_of_a_stylesheet_says_its_content():
    content = Content(code=11, lines=(30, 60), modules=33, by_hand=True)

    assert read_content(content.query()) == content
    for change in ({"code": ""}, {"lines": "4-x"}, {"modules": "0"}, {"lines": ""}):
        with pytest.raises(NotAdmitted):
            read_content(content.query() | change)


def test_a_stylesheet_says_the_page_and_nothing_that_was_typed():
    rules = stylesheet(DEFAULT_LAYOUT, label_sizes(DEFAULT_LAYOUT, VIAL))

    assert rules.startswith("@page{size:210mm 297mm;margin:0}")
    assert "repeat(3,70mm)" in rules
    assert "grid-auto-rows:36mm" in rules


@given(n=st.integers(0, 60), start=st.integers(1, 24))
def test_a_run_begins_at_its_label_and_loses_none(n, start):
    labels = [label(f"A{i}") for i in range(n)]

    run = lay_out(labels, DEFAULT_LAYOUT, start=start)

    slots = [one for page in run.pages for one in page]
    assert slots == [None] * (start - 1 if n else 0) + labels
    assert all(len(page) <= 24 for page in run.pages)
    assert run.n_labels == n


def test_copies_of_a_label_lie_beside_each_other():
    labels = copies_of([label("A"), label("B")], 2)

    assert [one.code for one in labels] == ["A", "A", "B", "B"]


def test_a_vial_label_says_hazard_mass_and_term():
    (one,) = labels_of_vials(found("ACD-3F"), 1.25)

    assert one.encoded == one.code == "ACD-3F"
    assert one.lines == (
        "Iron unknown. See the safety data sheet.",
        "1.25 g supplied, Spring term",
    )


def test_a_mass_or_a_term_that_is_not_known_leaves_no_trace():
    (one,) = labels_of_vials(found("ACD-3F", term=""), None)

    assert one.lines == ("Iron unknown. See the safety data sheet.",)


def test_a_short_code_makes_the_smallest_square():
    # ISO/IEC 18004: version 1 has 21 modules, and four of quiet zone on either side.
    assert modules_along("ACD-3F") == 21 + 8
