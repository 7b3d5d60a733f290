"""Amounts of the prep room against handbook masses and published recipes."""

import pytest

from results.policy.hazards import substance_of
from results.science.dilution import parse_scheme
from results.science.formula import molar_mass
from results.science.prep import (
    StrengthUnit,
    flasks_per_group,
    needed_mL,
    solid_g,
    waste_per_group_mL,
)
from tests.factories import protocol_document


@pytest.mark.parametrize(
    ("name", "handbook_g_per_mol"),
    # Handbook values, from memory.
    [
        ("hydroxylamine hydrochloride", 69.49),
        ("1,10-phenanthroline", 198.22),
        ("sodium acetate", 136.08),
        ("ammonium iron(II) sulfate", 392.13),
        ("ammonium iron(III) sulfate", 482.18),
    ],
)
def test_solids_that_are_usually_weighed_have_their_handbook_masses(
    name, handbook_g_per_mol
):
    formula = substance_of(name).formula

    assert molar_mass(formula) == pytest.approx(handbook_g_per_mol, abs=0.015)


def test_a_gram_of_phenanthroline_makes_400_mL_of_its_quarter_percent_solution():
    # AOAC Official Method 937.03 dissolves 1 g in 400 mL for 0.25 %.
    assert solid_g(400, 0.25, StrengthUnit.PERCENT, "") == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("per_flask_mL", "needed", "strength", "unit", "formula", "grams"),
    # Plain arithmetic for a class of twelve groups, eight flasks each, and a quarter
    # on top: what prep rooms work out by hand.
    [
        (1, 120, 10, StrengthUnit.PERCENT, "NH2OH·HCl", 12.0),
        (10, 1200, 0.1, StrengthUnit.PERCENT, "C12H8N2·H2O", 1.2),
        (8, 960, 1.2, StrengthUnit.MOLAR, "CH3COONa·3H2O", 157.0),
    ],
)
def test_a_class_of_twelve_groups(per_flask_mL, needed, strength, unit, formula, grams):
    volume_mL = needed_mL(per_flask_mL, n_groups=12, flasks=8, overage=0.25)

    assert volume_mL == pytest.approx(needed)
    assert solid_g(volume_mL, strength, unit, formula) == pytest.approx(grams, abs=0.3)


def test_a_group_with_flasks_of_100_mL_leaves_two_litres_behind():
    # 8 × 100 mL, 500 + 250 mL of the standard and 250 + 250 mL of the unknown.
    scheme = parse_scheme(protocol_document())

    assert flasks_per_group(scheme) == 8
    assert waste_per_group_mL(scheme) == pytest.approx(2050)
