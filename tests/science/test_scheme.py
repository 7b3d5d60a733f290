import copy
from math import nan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from results.science.dilution import (
    SchemeError,
    concentrations,
    iron_percent,
    parse_scheme,
    step_concentrations,
)
from tests.science.schemes import SCHEME, scheme_document

REMOVE = object()


def change(document, place, value):
    """Set, or remove, one value of a nested document."""
    changed = copy.deepcopy(document)
    *parents, last = place
    node = changed
    for key in parents:
        node = node[key]
    if value is REMOVE:
        del node[last]
    else:
        node[last] = value
    return changed


def problems_of(document):
    """List the problems a bad document is refused with."""
    with pytest.raises(SchemeError) as refused:
        parse_scheme(document)
    return refused.value.problems


def test_scheme_keeps_labels_volumes_and_reading():
    assert SCHEME.standard_labels == ("1", "2", "3", "4", "5")
    assert SCHEME.unknown_labels == ("U1", "U2", "U3")
    assert SCHEME.standard_take_mL.tolist() == [5, 10, 20, 30, 50]
    assert SCHEME.standards[0].delivery == "burette"
    assert SCHEME.reading.step == 0.5


BAD = [
    (("wavelength_nm",), REMOVE, "/wavelength_nm", "missing"),
    (("standard",), REMOVE, "/standard", "missing"),
    (("standard",), "salt", "/standard", "must be an object"),
    (("standard", "formula"), "Fe(SO4", "/standard/formula", "never closed"),
    (("standard", "formula"), "XySO4", "/standard/formula", "not a known element"),
    (("standard", "formula"), "NaCl", "/standard/formula", "contains no Fe"),
    (("standard", "formula"), 7, "/standard/formula", "must be a text"),
    (("standard", "purity"), 99.8, "/standard/purity", "at most 1.1"),
    (("standard", "mass_g"), "0.21", "/standard/mass_g", "must be a number"),
    (("standard", "mass_g"), True, "/standard/mass_g", "must be a number"),
    (("standard", "mass_g"), nan, "/standard/mass_g", "finite"),
    (("standard", "steps"), [], "/standard/steps", "at least one flask"),
    (("standard", "steps"), "none", "/standard/steps", "must be a list"),
    (("standard", "steps", 0), {"take_mL": 5}, "/standard/steps/0", "before any"),
    (("standard", "steps", 0), {}, "/standard/steps/0", "either"),
    (("standard", "steps", 2), {"take_mL": 5}, "/standard/steps/2", "next take"),
    (("standard", "steps", 2), {"make_up_mL": 5}, "/standard/steps/2/make_up_mL", "5"),
    (("standard", "steps", 2), REMOVE, "/standard/steps/1", "must end in a flask"),
    (("standard", "steps", 1, "take_mL"), 600, "/standard/steps/1/take_mL", "500 mL"),
    (("standard", "steps", 1, "take_mL"), -1, "/standard/steps/1/take_mL", "than 0"),
    (("standard", "steps", 1, "with"), "cup", "/standard/steps/1/with", "one of"),
    (("standards",), [], "/standards", "at least one tube"),
    (("standards", 0), 5, "/standards/0", "must be an object"),
    (("standards", 4, "take_mL"), 300, "/standards/4/take_mL", "250 mL"),
    (("standards", 4, "make_up_mL"), 25, "/standards/4/make_up_mL", "only 25 mL"),
    (("standards", 1, "tube"), "1", "/standards/1/tube", "used twice"),
    (("unknown", "tubes", 0, "tube"), "1", "/unknown/tubes/0/tube", "used twice"),
    (("unknown", "tubes", 0, "take_mL"), 0, "/unknown/tubes/0/take_mL", "more than 0"),
    (("unknown", "tubes"), [], "/unknown/tubes", "at least one tube"),
    (("reading", "scale"), "percent", "/reading/scale", "one of"),
    (("reading", "sd"), -0.1, "/reading/sd", "at least 0"),
]


@pytest.mark.parametrize(("place", "value", "path", "words"), BAD)
def test_bad_document_is_refused_with_what_to_mend(place, value, path, words):
    document = change(scheme_document(), place, value)

    problems = problems_of(document)

    assert any(p.path == path and words in p.message for p in problems), problems


def test_two_standards_are_too_few():
    document = scheme_document()
    document["standards"] = document["standards"][:2]

    problems = problems_of(document)

    assert [p.path for p in problems] == ["/standards"]


def test_standards_of_one_concentration_are_refused():
    document = scheme_document()
    for tube in document["standards"]:
        tube["take_mL"] = 10

    (problem,) = problems_of(document)

    assert "same concentration" in problem.message


def test_all_problems_are_told_at_once():
    document = change(scheme_document(), ("standard", "mass_g"), 0)
    document = change(document, ("standards", 2, "take_mL"), "20 mL")
    document = change(document, ("reading",), REMOVE)

    problems = problems_of(document)

    places = {"/standard/mass_g", "/standards/2/take_mL", "/reading"}
    assert {p.path for p in problems} == places


def test_empty_document_lists_what_it_lacks():
    problems = problems_of({})

    missing = {"/standard", "/standards", "/unknown", "/wavelength_nm", "/reading"}
    assert {p.path for p in problems} == missing


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["make_up_mL", "take_mL", "tube", "formula"]), inner
        )
    ),
    max_leaves=8,
)


@given(
    st.sampled_from(["standard", "standards", "unknown", "reading"]),
    json_values,
)
def test_whatever_stands_in_a_document_the_error_is_orderly(key, value):
    document = change(scheme_document(), (key,), value)

    problems = problems_of(document)

    assert all(p.path.startswith("/") for p in problems)


def test_blank_may_be_a_standard():
    document = change(scheme_document(), ("standards", 0, "take_mL"), 0)

    scheme = parse_scheme(document)

    assert scheme.standard_take_mL[0] == 0


def test_whole_flask_made_up_further_keeps_its_iron():
    steps = [{"make_up_mL": 100}, {"make_up_mL": 500}]
    scheme = parse_scheme(change(scheme_document(), ("standard", "steps"), steps))

    first, second = step_concentrations(scheme, 0.21)

    assert second == pytest.approx(first / 5)


@given(st.floats(0.05, 1.0), st.floats(1.0, 50.0))
def test_iron_found_is_the_iron_that_was_put_in(mass_g, taken_mL):
    masses, taken = np.array([mass_g]), np.full((1, 3), taken_mL)
    mg_L = 0.12 * mass_g * 1e3 / 0.25 * (10 / 250) * taken / 100

    percent = iron_percent(SCHEME, mg_L, masses, taken)

    assert_allclose(percent, 12.0, rtol=1e-12)


def test_purity_scales_every_concentration():
    pure = parse_scheme(scheme_document(purity=1.0))
    less = parse_scheme(scheme_document(purity=0.99))
    masses, taken = np.array([0.21]), pure.standard_take_mL[None]

    ratio = concentrations(less, masses, taken) / concentrations(pure, masses, taken)

    assert_allclose(ratio, 0.99)
