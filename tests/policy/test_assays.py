"""What is typed of a lot's content: read with commas, refused by box and row."""

from datetime import UTC, datetime

import pytest

from results.policy.assay_boxes import BOXES, AssayKind
from results.policy.assay_tables import read_assay_table
from results.policy.assayed import check_vials, said_of_vials, to_assign, work_out
from results.policy.assays import read_assay
from results.policy.refusals import NotAdmitted
from results.science.estimates import Component, combined

AT = "2025-03-04T14:00"
TYPED = {
    AssayKind.TITRATION: {
        "titrant": "cerium",
        "titrant_mol_L": "0,1002",
        "u_titrant_mol_L": "0,0001",
    },
    AssayKind.PERCENT: {"u_shared_percent": "0,15"},
    AssayKind.MAKE_UP: {
        "formula": "FeSO4·7H2O",
        "salt_g": "400",
        "purity": "0,998",
        "u_purity": "0.002",
        "diluent_g": "100",
    },
    AssayKind.CERTIFICATE: {"iron_percent": "12,03", "expanded": "0,05"},
}
ROWS = {
    AssayKind.TITRATION: [{"mass_g": "0,8", "titre_mL": "17,3"}],
    AssayKind.PERCENT: [{"iron_percent": "12,03"}, {}, {"iron_percent": "12.01"}],
}


def read(kind, rows=None, **typed):
    typed = {"made_at": AT, **TYPED[kind], **typed}
    rows = ROWS.get(kind, []) if rows is None else rows
    return read_assay(kind, typed, rows, zone=UTC)


def problems(kind, rows=None, **typed):
    with pytest.raises(NotAdmitted) as refused:
        read(kind, rows, **typed)
    return {one.where: one.message for one in refused.value.problems}


@pytest.mark.parametrize("kind", list(TYPED))
def test_commas_and_boxes_left_to_what_is_usual_are_read(kind):
    record = read(kind)

    assert record.made_at == datetime(2025, 3, 4, 14, tzinfo=UTC)
    assert set(record.basis) >= {box.name for box in BOXES[kind]}
    assert work_out(record).estimated.value > 5


def test_rows_without_a_number_are_passed_over():
    assert [row.iron_percent for row in read(AssayKind.PERCENT).rows] == [12.03, 12.01]


@pytest.mark.parametrize(
    ("kind", "changes", "where"),
    [
        (AssayKind.TITRATION, {"titrant_mol_L": ""}, ("titrant_mol_L",)),
        (AssayKind.TITRATION, {"titrant_mol_L": "0"}, ("titrant_mol_L",)),
        (AssayKind.TITRATION, {"titrant": "iodine"}, ("titrant",)),
        (AssayKind.TITRATION, {"blank_mL": "20"}, ("rows", 0, "titre_mL")),
        (AssayKind.TITRATION, {"rows": []}, ("rows",)),
        (AssayKind.TITRATION, {"rows": [{"mass_g": "0.8"}]}, ("rows", 0, "titre_mL")),
        (
            AssayKind.TITRATION,
            {"rows": [{"mass_g": "1.0.0", "titre_mL": "9"}]},
            ("rows", 0, "mass_g"),
        ),
        (
            AssayKind.PERCENT,
            {"rows": [{"iron_percent": "101"}]},
            ("rows", 0, "iron_percent"),
        ),
        (AssayKind.PERCENT, {"rows": [{"iron_percent": "1"}] * 201}, ("rows",)),
        (
            AssayKind.PERCENT,
            {"rows": [{"iron_percent": "12", "vial": "v" * 41}]},
            ("rows", 0, "vial"),
        ),
        (
            AssayKind.PERCENT,
            {"rows": [{"iron_percent": "12", "set_aside": "leaked"}]},
            ("rows",),
        ),
        (AssayKind.PERCENT, {"method_df": "12"}, ("method_sd",)),
        (AssayKind.PERCENT, {"made_at": "yesterday"}, ("made_at",)),
        (AssayKind.PERCENT, {"note": "n" * 241}, ("note",)),
        (AssayKind.MAKE_UP, {"formula": "NaCl"}, ("formula",)),
        (AssayKind.MAKE_UP, {"formula": "Fe("}, ("formula",)),
        (AssayKind.MAKE_UP, {"purity": "99,8"}, ("purity",)),
        (AssayKind.CERTIFICATE, {"k": "0"}, ("k",)),
        (AssayKind.CERTIFICATE, {"expanded": "nan"}, ("expanded",)),
    ],
)  # fmt: skip
def test_what_needs_mending_is_named_where_it_stands(kind, changes, where):
    assert set(problems(kind, **changes)) == {where}


def test_everything_that_needs_mending_is_named_at_once():
    found = problems(
        AssayKind.TITRATION,
        [{"mass_g": "x", "titre_mL": ""}],
        titrant_mol_L="",
        made_at="",
    )

    assert len(found) == 4


def test_one_titration_alone_has_no_uncertainty_unless_the_method_has():
    alone, known = (
        read(AssayKind.TITRATION),
        read(AssayKind.TITRATION, method_sd="0,03"),
    )

    assert not work_out(alone).estimated.is_known
    assert work_out(known).estimated.u == pytest.approx(0.04, abs=0.02)


def test_a_result_set_aside_is_shown_and_does_not_count():
    rows = [{"iron_percent": "12"}, {"iron_percent": "14", "set_aside": "leaked"}]
    found = work_out(read(AssayKind.PERCENT, rows, method_sd="0.1"))

    assert found.results == (12.0, 14.0)
    assert found.estimated.value == 12.0


def test_what_vials_differ_by_is_one_part_more():
    record = read(AssayKind.CERTIFICATE)

    found = work_out(record, u_between=0.04).estimated

    assert found.u == pytest.approx((0.025**2 + 0.04**2) ** 0.5)


def vials(*pairs):
    rows = [
        {"vial": f"v{place}", "iron_percent": str(value)}
        for place, pair in enumerate(pairs)
        for value in pair
    ]
    return check_vials(read(AssayKind.PERCENT, rows), sigma_percent=2.5)


ALIKE = [(12.0, 12.02), (12.01, 12.0), (12.02, 12.0), (12.0, 12.01), (12.01, 12.03)]


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        (ALIKE, "The vials are alike enough"),
        ([(12.0, 12.01), (12.6, 12.61), (11.6, 11.61), (12.2, 12.21)], "not alike"),
        ([(12.0, 12.3), (12.2, 12.0)], "Too few results to tell"),
        ([(12, 12), (12, 12)], "All results are equal"),
    ],
)
def test_a_check_of_vials_is_said_in_a_sentence(pairs, said):
    assert said in said_of_vials(vials(*pairs))


@pytest.mark.parametrize("pairs", [[(12.0, 12.1)], [(12.0,), (12.1,)]])
def test_one_vial_or_no_replicate_checks_nothing(pairs):
    assert vials(*pairs) is None


def test_a_make_up_checks_no_vials():
    assert check_vials(read(AssayKind.MAKE_UP), sigma_percent=2.5) is None


def test_what_is_assigned_is_rounded_where_it_does_not_matter():
    assert to_assign(combined(12.0374512, [Component("x", 0.0213456)])) == (
        12.0375,
        0.0213,
    )
    assert to_assign(combined(12.0374512345, [])) == (12.037451, 0.0)


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        ("vial;iron_percent\nA7K;12,04", AssayKind.PERCENT),
        ("mass_g\ttitre_mL\n0,8\t17,3", AssayKind.TITRATION),
    ],
)
def test_a_pasted_table_says_its_kind_by_its_columns(table, kind):
    assert read_assay_table(table.encode()).kind is kind


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("", "empty"),
        ("vial\nA7K", "columns have to be"),
        ("iron_percent,mass_g\n12,0.8", "columns have to be"),
        ("iron;vial\n12;A", "not known"),
        ("vial,iron_percent\nA7K,12,04", "decimal comma"),
    ],
)
def test_a_table_that_cannot_be_read_says_why(table, said):
    (problem,) = read_assay_table(table.encode()).problems

    assert said in str(problem)
