"""A scheme goes into boxes and comes back the same."""

from hypothesis import given

from frontend.grade_pictures import bands_picture, totals_picture
from frontend.scheme_form import from_document, scheme_form, to_document
from results.policy.marking import DEFAULT_DOCUMENT, read_scheme
from results.policy.refusals import Problem
from tests.policy.marking.schemes import documents


@given(documents())
def test_every_scheme_comes_back_from_its_boxes(document):
    typed = from_document(document)

    assert read_scheme(to_document(typed)) == read_scheme(document)


def test_knots_may_be_typed_in_several_ways():
    values = from_document(DEFAULT_DOCUMENT)
    values["accuracy-knots"] = "1 % 10\n2, 9\n\n3: 8,5\n"

    assert to_document(values)["accuracy"]["knots"] == [[1, 10], [2, 9], [3, 8.5]]


def test_an_empty_first_box_leaves_the_part_out():
    values = from_document(DEFAULT_DOCUMENT) | {"precision-points": " "}

    assert "precision" not in to_document(values)


def test_a_problem_that_is_about_no_box_is_told_all_the_same():
    form = scheme_form({}, [Problem((), "At least one part needs points.")])

    assert form.other_problems == ("At least one part needs points.",)


def test_bands_that_cannot_be_read_are_not_drawn():
    values = from_document(DEFAULT_DOCUMENT) | {"accuracy-knots": "far too many"}

    accuracy, precision, *_ = scheme_form(values).parts
    assert accuracy.curve is None
    assert precision.curve is not None


def test_steps_fall_at_their_knots():
    rule = read_scheme(DEFAULT_DOCUMENT).accuracy

    curve = bands_picture(rule.bands, rule.max_points)

    # From one knot to the next a step runs level, then straight down.
    assert curve.path.startswith("M34.0 24.0L34.0 24.0L")
    assert "to 12 %, 4; beyond, 2." in curve.description


def test_totals_without_any_group_are_no_picture():
    assert totals_picture([], read_scheme(DEFAULT_DOCUMENT).max_points) is None
