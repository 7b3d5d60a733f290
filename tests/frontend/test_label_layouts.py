"""Geometries of label sheets: every label on its page, none on another."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from frontend.preparing.label_layouts import (
    COUNTS,
    LAYOUTS,
    PAGES,
    SIZES,
    LabelLayout,
    layout_query,
    read_layout,
    read_start,
)
from results.policy.refusals import NotAdmitted

OWN = {
    "layout": "own",
    "page": "a4",
    "columns": "2",
    "rows": "5",
    "width_mm": "90",
    "height_mm": "50,5",
    "left_mm": "10",
    "top_mm": "12",
}
# Printed geometries are rounded to the tenth of a millimetre.
ROUNDING_MM = 0.05 + 1e-9


def tenths(low, high):
    """Lengths in mm as people type them."""
    return st.integers(10 * low, 10 * high).map(lambda length: length / 10)


lengths = tenths(0, 300)
own_layouts = st.builds(
    LabelLayout,
    page=st.sampled_from(sorted(PAGES)),
    columns=st.integers(0, 25),
    rows=st.integers(0, 45),
    width_mm=lengths,
    height_mm=lengths,
    left_mm=lengths,
    top_mm=lengths,
    column_gap_mm=st.just(0.0) | lengths,
    row_gap_mm=st.just(0.0) | lengths,
)
fitting_layouts = st.builds(
    LabelLayout,
    page=st.sampled_from(sorted(PAGES)),
    columns=st.integers(1, 6),
    rows=st.integers(1, 12),
    width_mm=tenths(15, 60),
    height_mm=tenths(10, 40),
    left_mm=tenths(0, 15),
    top_mm=tenths(0, 20),
    column_gap_mm=tenths(0, 5),
    row_gap_mm=tenths(0, 5),
)


def lies_well(layout):
    slots = list(layout.slots())
    on_the_page = all(
        x >= 0
        and y >= 0
        and x + layout.width_mm <= layout.page_width_mm + ROUNDING_MM
        and y + layout.height_mm <= layout.page_height_mm + ROUNDING_MM
        for x, y in slots
    )
    apart = all(
        abs(x - x2) >= layout.width_mm - 1e-6 or abs(y - y2) >= layout.height_mm - 1e-6
        for i, (x, y) in enumerate(slots)
        for x2, y2 in slots[:i]
    )
    return on_the_page and apart and len(slots) == layout.per_page


def refused(change):
    with pytest.raises(NotAdmitted) as refusal:
        read_layout(OWN | change)
    return {problem.where[0]: problem.message for problem in refusal.value.problems}


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.key)
def test_labels_of_the_list_lie_on_their_page_apart(layout):
    assert list(layout.problems()) == []
    assert lies_well(layout)


@given(layout=own_layouts | fitting_layouts)
def test_a_sheet_without_a_problem_lies_on_its_page_apart(layout):
    assume(not list(layout.problems()))

    assert lies_well(layout)


@given(layout=fitting_layouts)
def test_a_sheet_with_a_problem_does_not_fit(layout):
    assume(list(layout.problems()))

    assert not lies_well(layout)


def test_names_come_from_the_geometry_and_are_told_apart():
    names = [layout.name for layout in LAYOUTS]

    assert "A4, 3 × 8, 70 × 36 mm" in names
    assert "A4, 4 × 10, 48.5 × 25.4 mm" in names
    assert "Letter, 3 × 10, 2.625 × 1 in" in names
    assert len(set(names)) == len({layout.key for layout in LAYOUTS}) == len(LAYOUTS)


def test_both_margins_of_a_sheet_in_inches_are_alike():
    letter = read_layout({"layout": "letter-3x10-66_675x25_4"})
    *_, (x_mm, y_mm) = letter.slots()

    assert letter.page_width_mm - x_mm - letter.width_mm == pytest.approx(4.76, abs=0.1)
    assert letter.page_height_mm - y_mm - letter.height_mm == pytest.approx(12.7)


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.key)
def test_an_address_means_the_layout_it_was_made_of(layout):
    assert read_layout(layout_query(layout)) == layout


@given(layout=fitting_layouts)
def test_an_address_means_an_own_layout_too(layout):
    assume(not list(layout.problems()))

    assert read_layout(layout_query(layout)) == layout


def test_an_own_sheet_is_typed_with_commas_and_without_gaps():
    layout = read_layout(OWN)

    assert (layout.height_mm, layout.column_gap_mm, layout.per_page) == (50.5, 0, 10)


def test_what_does_not_fit_is_named_with_how_much_it_is_over():
    assert "2.0 mm wider than the page" in refused({"width_mm": "101"})["width_mm"]
    assert (
        "3.0 mm higher than the page" in refused({"row_gap_mm": "8.875"})["height_mm"]
    )


def test_everything_that_is_missing_is_named_at_once():
    empty = dict.fromkeys((*COUNTS, *SIZES, "page"), "")

    gaps = {"column_gap_mm", "row_gap_mm"}
    assert set(refused(empty)) == {"page", *COUNTS, *SIZES} - gaps


@pytest.mark.parametrize(
    "change",
    [{"columns": "2.5"}, {"columns": "0"}, {"rows": "1e9"}, {"width_mm": "-5"}],
)
def test_a_count_or_length_that_is_none_is_named(change):
    assert set(refused(change)) == set(change)


def test_a_sheet_that_is_not_listed_is_refused():
    assert refused({"layout": "a4-9x9"}) == {"layout": "Choose a sheet from the list."}


@pytest.mark.parametrize("typed", ["0", "25", "two", "-1", "99999"])
def test_a_run_begins_at_a_label_that_the_sheet_has(typed):
    layout = read_layout({})

    assert read_start({"start": "24"}, layout) == 24
    assert read_start({}, layout) == 1
    with pytest.raises(NotAdmitted):
        read_start({"start": typed}, layout)
