"""What the prep room goes by: as suggested, as typed, as stored."""

import json

import pytest

from results.policy.hazards import PHRASES, substance_of, substances_of
from results.policy.prep_plan import (
    PrepPlan,
    read_plan,
    stored_plan,
    suggested_plan,
    suggested_recipe,
)
from results.policy.protocol import Reagent
from results.policy.refusals import NotAdmitted

REAGENTS = ("sodium acetate, 1.2 M solution", "ligand")
TYPED = {
    "overage_percent": "25",
    "dispensers": "2",
    "dead_volume_mL": "50",
    "blank_flasks": "1",
    "spare_percent": "20",
    "rinsings_percent": "10",
    "container_mL": "5000",
    "fill_percent": "80",
    "bottles_mL": "1000 250; 500",
    "strength-0": "1,2",
    "unit-0": "mol/L",
    "formula-0": "CH3COONa·3H2O",
    "purity-0": "99",
    "unit-1": "g/100 mL",
}


def mended(**changes):
    with pytest.raises(NotAdmitted) as refused:
        read_plan(TYPED | changes, REAGENTS)
    return [problem.where[0] for problem in refused.value.problems]


@pytest.mark.parametrize(
    ("name", "strength", "unit"),
    [
        ("hydroxylamine hydrochloride, 10 % solution", 10, "g/100 mL"),
        ("Natriumacetat, 1,2 mol/L", 1.2, "mol/L"),
        ("phenanthroline 5 mM", 5, "mmol/L"),
        ("1,10-phenanthroline", 0, "g/100 mL"),
        ("2 g/L ligand", 2, "g/L"),
    ],
)
def test_a_name_says_its_strength(name, strength, unit):
    recipe = suggested_recipe(name)

    assert (recipe.strength, recipe.unit) == (strength, unit)


def test_a_plan_is_typed_with_commas_or_points():
    plan = read_plan(TYPED, REAGENTS)

    assert plan.recipes[0].strength == 1.2
    assert plan.recipes[0].purity == 0.99
    assert not plan.recipes[1].is_known
    assert plan.bottles_mL == (250, 500, 1000)


def test_a_plan_comes_back_as_it_was_stored():
    typed = TYPED | {"extra-name-0": "sulfuric acid, 1 M", "extra-mL-0": "20"}
    plan = read_plan(typed, REAGENTS)

    assert stored_plan(json.loads(json.dumps(plan.as_document()))) == plan


@pytest.mark.parametrize(
    ("box", "typed"),
    [
        ("overage_percent", "much"),
        ("dispensers", "1.5"),
        ("blank_flasks", "11"),
        ("fill_percent", "0"),
        ("bottles_mL", ""),
        ("bottles_mL", "250 many"),
        ("strength-0", "0"),
        ("unit-0", "cups"),
        ("formula-0", "Xx2"),
        ("formula-0", ""),
        ("formula-0", "C" * 121),
        ("purity-0", "101"),
    ],
)
def test_what_cannot_be_used_is_named_by_its_box(box, typed):
    assert box in mended(**{box: typed})


def test_half_a_line_of_what_else_is_needed_is_named():
    assert mended(**{"extra-name-0": "acid"}) == ["extra-mL-0"]
    assert mended(**{"extra-mL-2": "5"}) == ["extra-name-2"]


def test_a_reagent_that_the_plan_does_not_know_is_suggested_for():
    plan = suggested_plan([Reagent("ligand", 3, "ligand")])

    assert plan.recipe_of("ligand").strength == 0
    assert PrepPlan().recipe_of("sodium acetate, 1 M").strength == 1


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("Hydroxylammoniumchlorid, 10 %", "hydroxylamine hydrochloride"),
        ("hydroxylamine hydrochloride", "hydroxylamine hydrochloride"),
        ("o-Phenanthrolin", "1,10-phenanthroline"),
        ("Fe(NH4)2(SO4)2(H2O)6", "ammonium iron(II) sulfate"),
        ("NH4Fe(SO4)2·12H2O", "ammonium iron(III) sulfate"),
        ("ammonium iron (III) sulfate", "ammonium iron(III) sulfate"),
        ("Schwefelsäure, 1 M", "sulfuric acid"),
    ],
)
def test_substances_are_known_by_the_names_that_courses_write(said, name):
    assert substance_of(said).name == name


def test_each_substance_is_named_once_with_every_statement_in_words():
    found = substances_of(["1,10-phenanthroline", "phenanthrolin", "water"])

    (one,) = found
    assert one.said == (
        "H301 toxic if swallowed; "
        "H410 very toxic to aquatic life with long-lasting effects"
    )
    assert all(code in PHRASES for code in one.statements)


def test_nobody_is_told_that_a_substance_is_safe():
    assert substance_of("sodium acetate").said == "usually not classified"
