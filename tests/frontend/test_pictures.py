import pytest
from hypothesis import given
from hypothesis import strategies as st

from frontend.axes import ticks
from frontend.pictures import (
    PLATE,
    TILE,
    Extent,
    clip_line,
    common_extent,
    draw,
)
from results.summaries.lines import LinePicture, Point

finite = st.floats(-3, 3)


def line_of(*standards, unknowns=(), slope=0.2, intercept=0.0, suspects=()):
    points = tuple(
        Point(str(i), "standard", mg_L, absorbance)
        for i, (mg_L, absorbance) in enumerate(standards, 1)
    ) + tuple(
        Point(f"U{i}", "unknown", (a - intercept) / slope if slope else None, a)
        for i, a in enumerate(unknowns, 1)
    )
    return LinePicture(points, slope, intercept, 0.001, suspects)


def test_deeper_solutions_have_deeper_tints():
    line = line_of((0.5, 0.1), (2.0, 0.4), (4.0, 0.8))

    drawing = draw(line, common_extent([line]))

    tints = [dot.tint for dot in drawing.dots]
    assert tints == sorted(tints)
    assert (tints[0], tints[-1]) == (1, 6)


def test_a_dot_on_the_line_is_drawn_on_the_line():
    line = line_of((1.0, 0.2), (2.0, 0.4), (4.0, 0.8))

    drawing = draw(line, common_extent([line]), PLATE)

    cut = drawing.segment
    for dot in drawing.dots:
        share = (dot.x - cut.x1) / (cut.x2 - cut.x1)
        assert dot.y == pytest.approx(cut.y1 + share * (cut.y2 - cut.y1), abs=0.02)


def test_suspect_tubes_are_marked():
    line = line_of((1.0, 0.2), (2.0, 0.1), suspects=("2",))

    drawing = draw(line, common_extent([line]))

    assert [dot.is_suspect for dot in drawing.dots] == [False, True]


def test_one_impossible_reading_does_not_squash_the_others():
    good = [line_of((1.0, 0.2), (4.0, 0.8))] * 5
    wild = line_of((1.0, 0.2), (4.0, 3.0))

    extent = common_extent([*good, wild])

    assert extent.absorbance_high < 1.5
    assert draw(wild, extent).dots[-1].is_beyond


def test_a_line_without_a_slope_has_dots_only():
    line = LinePicture((Point("1", "standard", 1.0, 0.2),), None, None, None)

    drawing = draw(line, common_extent([line]))

    assert drawing.segment is None
    assert len(drawing.dots) == 1


def test_nothing_to_draw_has_a_scale_all_the_same():
    assert common_extent([None]) == Extent(1.0, 0.0, 1.0)


@given(slope=finite, intercept=finite)
def test_a_line_never_leaves_its_picture(slope, intercept):
    extent = Extent(4.0, -0.05, 0.9)

    ends = clip_line(slope, intercept, extent)

    for x, y in ends or ():
        assert -1e-9 <= x <= 4 + 1e-9
        assert -0.05 - 1e-6 <= y <= 0.9 + 1e-6


@given(st.lists(st.tuples(st.floats(0, 50), finite), min_size=1, max_size=9), finite)
def test_every_dot_lies_inside_its_frame(standards, intercept):
    line = line_of(*standards, unknowns=(0.3,), intercept=intercept)

    drawing = draw(line, common_extent([line]), TILE)

    for dot in drawing.dots:
        assert 0 <= dot.x <= TILE.width
        assert 0 <= dot.y <= TILE.height


@given(st.floats(-1, 1), st.floats(0.01, 100))
def test_ticks_are_few_and_inside(low, width):
    places = ticks(low, low + width)

    assert len(places) <= 6
    assert all(low - 1e-6 <= place <= low + width + 1e-6 for place in places)
