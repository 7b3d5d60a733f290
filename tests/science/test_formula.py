import pytest

from results.science.formula import (
    FormulaError,
    atom_counts,
    mass_fraction,
    molar_mass,
)


@pytest.mark.parametrize(
    "spelling",
    [
        "Fe(NH4)2(SO4)2·6H2O",
        "(NH4)2Fe(SO4)2.6H2O",
        "FeN2H8S2O8*6 H2O",
        "Fe(NH₄)₂(SO₄)₂·6H₂O",
    ],
)
def test_spellings_of_one_salt_have_one_mass(spelling):
    assert molar_mass(spelling) == pytest.approx(molar_mass("Fe(NH4)2(SO4)2(H2O)6"))


def test_nested_brackets_multiply():
    assert atom_counts("K3(Fe(CN)6)2") == {"K": 3, "Fe": 2, "C": 12, "N": 12}


def test_element_itself_is_all_iron():
    assert mass_fraction("Fe") == 1.0


def test_compound_without_the_element_has_none_of_it():
    assert mass_fraction("NaCl") == 0.0


@pytest.mark.parametrize(
    ("formula", "words"),
    [
        ("", "empty"),
        ("FeSO4·", "empty part"),
        ("Fe(SO4", "never closed"),
        ("FeSO4)", "never opened"),
        ("feSO4", "no place"),
        ("Fe-SO4", "no place"),
        ("Qq", "not a known element"),
    ],
)
def test_unreadable_formula_is_refused_with_the_reason(formula, words):
    with pytest.raises(FormulaError, match=words):
        molar_mass(formula)
