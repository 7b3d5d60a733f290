"""A protocol as boxes and back, and each problem at its box."""

import copy

import pytest

from frontend.preparing.protocol_boxes import closed_up, from_document, to_document
from frontend.preparing.protocol_form import protocol_form
from results.policy.protocol import read_protocol
from results.policy.protocol_start import protocol_to_start_from
from results.policy.refusals import NotAdmitted
from results.science.simulate.protocol import invented_protocol
from tests.factories import protocol_document

TOLERANCES = {"glassware": "ISO B", "balance_u_g": 0.0003}


@pytest.mark.parametrize(
    "document",
    [
        protocol_document(),
        protocol_document(use_blank=True, tolerances=TOLERANCES),
        protocol_to_start_from(),
        invented_protocol(),
    ],
)
def test_a_document_comes_back_from_its_boxes_as_it_was(document):
    values = from_document(document, title=document.get("title", ""))

    assert to_document(closed_up(values), base=document) == document


def test_what_has_no_box_is_kept():
    document = protocol_document(tolerances=TOLERANCES, remark="from the handout")
    document["reading"] = {**document["reading"], "remark": "needle"}

    values = from_document(document, title="")

    assert to_document(closed_up(values), base=document) == document


def form_of(**typed):
    """The form after something was typed, with everything that is wrong."""
    document = copy.deepcopy(protocol_document())
    values = closed_up({**from_document(document, title=""), **typed})
    try:
        read_protocol(to_document(values, base=document))
    except NotAdmitted as refusal:
        return protocol_form(values, refusal.problems)
    return protocol_form(values)


def boxes(form):
    tables = (
        form.standard_steps,
        form.standards,
        form.unknown_steps,
        form.unknown_tubes,
        form.reagents,
    )
    plain = (*form.salt, *form.unknown, *form.reading, *form.limits, form.develop)
    return [*plain, *(box for t in tables for row in t.rows for box in row.boxes)]


@pytest.mark.parametrize(
    ("name", "typed", "message"),
    [
        ("standard-mass_g", "much", "Must be a number, not 'much'."),
        ("standard-mass_g", "", "Write a number here."),
        ("standard-purity", "99.8", "Must be at most 1.1, not 99.8."),
        ("standard-formula", "Xx", "'Xx' in the formula 'Xx' is not a known element."),
        ("standard-steps-1-mL", "x", "Must be a number, not 'x'."),
        ("standards-2-take_mL", "-5", "Must be at least 0, not -5."),
        ("standards-2-tube", "1", "The label 1 is used twice."),
        ("standards-2-make_up_mL", "", "Write a number here."),
        ("unknown-tubes-1-take_mL", "0", "Must be more than 0 for an unknown."),
        ("reading-scale", "furlongs", "Must be one of absorbance, percent_T."),
        ("reagents-0-volume_mL", "x", "Give a name, and a volume above 0 mL."),
        (
            "limits-percent_T-low",
            "130",
            "Give both numbers, the lower one first, or neither.",
        ),
        ("develop_min", "soon", "Write the minutes to wait."),
    ],
)
def test_a_problem_stands_at_its_box_and_what_was_typed_stays(name, typed, message):
    form = form_of(**{name: typed})

    marked = [(box.name, box.problem) for box in boxes(form) if box.problem]
    assert [problem for _, problem in marked] == [message]
    assert marked[0][0] in {name, "reagents-0-name"}
    assert next(box.value for box in boxes(form) if box.name == name) == typed
    assert form.other_problems == ()


def test_a_comma_is_a_decimal_sign():
    document = protocol_document()
    values = from_document(document, title="") | {"standard-mass_g": "0,25"}

    found = to_document(closed_up(values), base=document)

    assert found["standard"]["mass_g"] == 0.25


def test_empty_rows_close_up_and_new_ones_stand_at_the_end():
    row = {f"standards-1-{key}": "" for key in ("tube", "take_mL", "make_up_mL")}

    form = form_of(**row)

    tubes = [row.boxes[0].value for row in form.standards.rows]
    assert tubes == ["1", "3", "4", "5", "", ""]


def test_a_list_that_is_empty_says_so_at_its_first_row():
    document = protocol_document(standards=[])
    values = closed_up(from_document(document, title=""))
    with pytest.raises(NotAdmitted) as caught:
        read_protocol(to_document(values, base=document))

    form = protocol_form(values, caught.value.problems)

    assert form.standards.rows[0].boxes[0].problem == "Needs at least one tube."
