"""The solutions that a prep room makes up, scaled to the groups."""

from dataclasses import dataclass

from results.policy.hazards import Substance, substance_of
from results.policy.prep_plan import PrepPlan, Recipe
from results.policy.protocol import ProtocolRules
from results.science.formula import FormulaError, molar_mass
from results.science.prep import bottles, flasks_per_group, needed_mL, solid_g


@dataclass(frozen=True, slots=True, kw_only=True)
class ReagentRow:
    """One solution to make up.

    Attributes
    ----------
    bottles_mL : tuple of float
        Bottles to fill, largest first.
    solid_g : float or None
        For all bottles together; None without a recipe.
    molar_mass_g : float or None
        Of the solid's formula, g/mol.
    """

    name: str
    each_mL: float
    is_per_group: bool
    need_mL: float
    bottles_mL: tuple[float, ...]
    recipe: Recipe | None
    solid_g: float | None
    molar_mass_g: float | None
    substance: Substance | None

    @property
    def made_mL(self) -> float:
        """Volume that is made up."""
        return sum(self.bottles_mL)


def reagent_rows(
    rules: ProtocolRules, plan: PrepPlan, n_groups: int
) -> tuple[ReagentRow, ...]:
    """Return what is made up for so many groups: reagents first, then what else."""
    flasks = flasks_per_group(rules.scheme, int(plan.blank_flasks))
    rows = [
        _row(plan, n_groups, one.name, one.volume_mL, flasks, plan.recipe_of(one.name))
        for one in rules.reagents
    ]
    rows += [
        _row(plan, n_groups, one.name, one.per_group_mL, 0, None) for one in plan.extras
    ]
    return tuple(rows)


def _row(
    plan: PrepPlan,
    n_groups: int,
    name: str,
    each_mL: float,
    flasks: int,
    recipe: Recipe | None,
) -> ReagentRow:
    need = needed_mL(
        each_mL,
        n_groups=n_groups,
        flasks=flasks or 1,
        overage=plan.overage_percent / 100,
        dead_volume_mL=plan.dispensers * plan.dead_volume_mL,
    )
    filled = bottles(need, plan.bottles_mL)
    return ReagentRow(
        name=name,
        each_mL=each_mL,
        is_per_group=not flasks,
        need_mL=need,
        bottles_mL=filled,
        recipe=recipe,
        solid_g=_solid_g(recipe, sum(filled)),
        molar_mass_g=_molar_mass(recipe.formula) if recipe else None,
        substance=substance_of(name),
    )


def _solid_g(recipe: Recipe | None, volume_mL: float) -> float | None:
    """Return the mass for a volume; None without a strength or a formula it needs."""
    if recipe is None or not recipe.is_known:
        return None
    try:
        return solid_g(
            volume_mL,
            recipe.strength,
            recipe.unit,
            recipe.formula,
            purity=recipe.purity,
        )
    except FormulaError:
        return None


def _molar_mass(formula: str) -> float | None:
    try:
        return molar_mass(formula)
    except FormulaError:
        return None
