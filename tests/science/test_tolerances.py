import numpy as np
import pytest

from results.science.budget import shared_variance, tolerances_in_force, tube_fill
from results.science.dilution import SchemeError, parse_scheme
from results.science.glassware import GLASSWARE, SETTING, Tolerances
from tests.science.schemes import SCHEME, scheme_document


def scheme_with(**tolerances):
    return parse_scheme(scheme_document() | {"tolerances": tolerances})


def in_force(scheme):
    return {tolerance.item: tolerance for tolerance in tolerances_in_force(scheme)}


def problems_of(tolerances):
    with pytest.raises(SchemeError) as refused:
        parse_scheme(scheme_document() | {"tolerances": tolerances})
    return refused.value.problems


def test_triangular_class_a_glassware_is_the_usual_setting():
    flask = in_force(SCHEME)["100 mL flask"]

    assert (flask.value, flask.unit, flask.distribution) == (0.1, "mL", "triangular")
    assert flask.standard == "ISO 1042 class A"
    assert "memory" in flask.provenance


def test_every_piece_of_glass_and_every_source_is_listed_once():
    items = [tolerance.item for tolerance in tolerances_in_force(SCHEME)]

    assert len(items) == len(set(items))
    assert {"weighing", "purity of the standard", "one reading"} <= set(items)
    assert {"25 mL pipette", "5 mL burette", "500 mL flask"} <= set(items)


def test_rectangular_limits_weigh_more_than_triangular_ones():
    glass = {"handling": {"flask": {"sd_relative": 0}}}

    triangular = in_force(scheme_with(**glass))["250 mL flask"]
    rectangular = in_force(scheme_with(distribution="rectangular", **glass))

    u_mL = triangular.standard_uncertainty
    assert u_mL == pytest.approx(0.15 / np.sqrt(6))
    wider = rectangular["250 mL flask"].standard_uncertainty
    assert wider == pytest.approx(0.15 / np.sqrt(3))


def test_protocol_may_state_a_limit_of_its_own():
    item = {"device": "flask", "volume_mL": 250, "limit_mL": 0.5}

    flask = in_force(scheme_with(items=[item]))["250 mL flask"]

    assert (flask.value, flask.provenance, flask.standard) == (0.5, SETTING, "")


def test_stated_uncertainty_takes_the_place_of_limit_and_handling():
    item = {"device": "pipette", "volume_mL": 25, "u_mL": 0.04}

    pipette = in_force(scheme_with(items=[item]))["25 mL pipette"]

    assert pipette.distribution == "standard uncertainty"
    assert (pipette.standard_uncertainty, pipette.handling_sd) == (0.04, 0.0)


def test_class_b_glass_doubles_class_a():
    assert Tolerances(glassware="ISO B").limit_mL("flask", 100) == 0.2
    assert Tolerances(glassware="ASTM B").limit_mL("pipette", 10) == 0.04


def test_burette_keeps_its_limit_all_along_its_scale():
    usual = Tolerances()

    assert usual.limit_mL("burette", 3) == usual.limit_mL("burette", 40) == 0.05


def test_volume_beyond_the_largest_size_is_not_free():
    usual = Tolerances()

    assert usual.limit_mL("flask", 2000) == pytest.approx(0.8)
    assert usual.limit_mL("burette", 100) > 0.05


@pytest.mark.parametrize("glassware", GLASSWARE)
def test_every_class_names_a_standard_for_every_device(glassware):
    for table in GLASSWARE[glassware].values():
        assert table.standard
        assert table.provenance
        assert len(table.nominal_mL) == len(table.limit_mL)
        assert list(table.nominal_mL) == sorted(table.nominal_mL)


def test_nothing_is_counted_twice():
    shared = shared_variance(SCHEME)

    pipette = Tolerances().standard_uncertainty_mL("pipette", 25)
    assert shared.standard_side.pipettes == pytest.approx((pipette / 25) ** 2)
    assert shared.standard_side.burette == 0.0


def test_smaller_delivery_from_a_burette_is_less_sure():
    fill = tube_fill(SCHEME, SCHEME.standards)

    variance = fill.variance(SCHEME.standard_take_mL[:, None], None)

    assert (np.diff(variance.burette[:, 0]) < 0).all()


BAD = [
    ("ISO A", "/tolerances", "must be an object"),
    ({"distribution": "flat"}, "/tolerances/distribution", "one of"),
    ({"glassware": "best"}, "/tolerances/glassware", "one of"),
    ({"balance_u_g": -1}, "/tolerances/balance_u_g", "at least 0"),
    ({"handling": {"cup": {}}}, "/tolerances/handling/cup", "one of"),
    (
        {"handling": {"flask": {"sd_relative": 3}}},
        "/tolerances/handling/flask/sd_relative",
        "at most 0.5",
    ),
    ({"items": [{"device": "flask", "volume_mL": 5}]}, "/tolerances/items/0", "either"),
    (
        {"items": [{"device": "cup", "volume_mL": 5, "u_mL": 1}]},
        "/tolerances/items/0/device",
        "one of",
    ),
    (
        {"items": [{"device": "flask", "volume_mL": 5, "u_mL": 1}] * 2},
        "/tolerances/items/1",
        "twice",
    ),
]


@pytest.mark.parametrize(("tolerances", "path", "words"), BAD)
def test_bad_tolerance_is_refused_with_what_to_mend(tolerances, path, words):
    problems = problems_of(tolerances)

    assert any(p.path == path and words in p.message for p in problems), problems


def test_blank_setting_must_be_true_or_false():
    with pytest.raises(SchemeError, match="true or false"):
        parse_scheme(scheme_document() | {"use_blank": "yes"})


def test_tubes_filled_by_different_devices_keep_their_sources_apart():
    document = scheme_document()
    document["standards"][0]["with"] = "graduated pipette"
    scheme = parse_scheme(document)
    fill = tube_fill(scheme, scheme.standards)

    variance = fill.variance(scheme.standard_take_mL[:, None], None)

    assert (variance.pipettes[:, 0] > 0).tolist() == [True] + [False] * 4
    assert (variance.burette[:, 0] > 0).tolist() == [False] + [True] * 4


def test_stock_measured_by_burette_counts_under_the_burette():
    document = scheme_document()
    document["standard"]["steps"][1]["with"] = "burette"

    shared = shared_variance(parse_scheme(document)).standard_side

    assert shared.burette > 0.0
    assert shared.pipettes == 0.0


def test_nothing_taken_adds_no_uncertainty():
    document = scheme_document()
    document["standards"][0]["take_mL"] = 0
    scheme = parse_scheme(document)
    fill = tube_fill(scheme, scheme.standards)

    variance = fill.variance(scheme.standard_take_mL[:, None], None)

    assert variance.total[0, 0] == 0.0
