"""The boxes of a prep plan: what stands in them, and how amounts are printed."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

from results.policy.prep_plan import MOST_EXTRAS, PrepPlan
from results.policy.protocol import Reagent

_PER_LARGE_UNIT = 1000.0


@dataclass(frozen=True, slots=True)
class Box:
    """One box of the form: name, what it is, what stands in it, what is wrong."""

    name: str
    label: str
    value: str
    problem: str


@dataclass(frozen=True, slots=True)
class RecipeBoxes:
    """The boxes of one reagent."""

    reagent: Reagent
    strength: Box
    unit: Box
    formula: Box
    purity: Box


@dataclass(frozen=True, slots=True)
class PrepForm:
    """All boxes of a prep plan."""

    recipes: tuple[RecipeBoxes, ...]
    extras: tuple[tuple[Box, Box], ...]
    bottles: Box
    numbers: tuple[Box, ...]


_LABELS = {
    "overage_percent": "Overage, %",
    "dispensers": "Dispenser bottles a reagent",
    "dead_volume_mL": "Left in each dispenser, mL",
    "blank_flasks": "Blank flasks a group",
    "spare_percent": "Spare weighings, %",
    "rinsings_percent": "Rinsings collected, %",
    "container_mL": "Waste container, mL",
    "fill_percent": "Filled up to, %",
}


def typed_of(plan: PrepPlan, reagents: Sequence[Reagent]) -> dict[str, str]:
    """Return a plan as it would have been typed."""
    typed = {
        one.name: f"{getattr(plan, one.name):g}"
        for one in fields(plan)
        if one.name in _LABELS
    }
    typed["bottles_mL"] = " ".join(f"{size:g}" for size in plan.bottles_mL)
    for i, reagent in enumerate(reagents):
        recipe = plan.recipe_of(reagent.name)
        typed |= {
            f"strength-{i}": f"{recipe.strength:g}" if recipe.is_known else "",
            f"unit-{i}": recipe.unit.value,
            f"formula-{i}": recipe.formula,
            f"purity-{i}": f"{100 * recipe.purity:g}",
        }
    for i, extra in enumerate(plan.extras):
        typed |= {
            f"extra-name-{i}": extra.name,
            f"extra-mL-{i}": f"{extra.per_group_mL:g}",
        }
    return typed


def prep_form(
    reagents: Sequence[Reagent], typed: Mapping[str, str], wrong: Mapping[str, str]
) -> PrepForm:
    """Return the boxes with what was typed and what is wrong with it."""

    def box(name: str, label: str) -> Box:
        return Box(name, label, typed.get(name, ""), wrong.get(name, ""))

    return PrepForm(
        recipes=tuple(
            RecipeBoxes(
                reagent,
                box(f"strength-{i}", "Strength"),
                box(f"unit-{i}", "Unit"),
                box(f"formula-{i}", "Solid weighed, its formula"),
                box(f"purity-{i}", "Purity, %"),
            )
            for i, reagent in enumerate(reagents)
        ),
        extras=tuple(
            (box(f"extra-name-{i}", "What else"), box(f"extra-mL-{i}", "mL a group"))
            for i in range(MOST_EXTRAS)
        ),
        bottles=box("bottles_mL", "Sizes of prep bottles, mL, parted by blanks"),
        numbers=tuple(box(name, label) for name, label in _LABELS.items()),
    )


def volume_in_words(volume_mL: float) -> str:
    """Return a volume in mL, or in L from one litre on, to four digits.

    Examples
    --------
    >>> volume_in_words(960), volume_in_words(1200), volume_in_words(24_600)
    ('960 mL', '1.2 L', '24.6 L')
    """
    if volume_mL >= _PER_LARGE_UNIT:
        return f"{volume_mL / _PER_LARGE_UNIT:.4g} L"
    return f"{volume_mL:.4g} mL"


def mass_in_words(mass_g: float) -> str:
    """Return a mass in g, or in kg from one kilogram on, to four digits.

    Examples
    --------
    >>> mass_in_words(156.76), mass_in_words(4703)
    ('156.8 g', '4.703 kg')
    """
    if mass_g >= _PER_LARGE_UNIT:
        return f"{mass_g / _PER_LARGE_UNIT:.4g} kg"
    return f"{mass_g:.4g} g"


def bottles_in_words(bottles_mL: Sequence[float]) -> str:
    """Return bottles to fill, equal ones together; a dash for none.

    Examples
    --------
    >>> bottles_in_words([2000, 2000, 500])
    '2 × 2 L + 500 mL'
    """
    parts = (
        f"{n} × {volume_in_words(size)}" if n > 1 else volume_in_words(size)
        for size, n in Counter(bottles_mL).items()
    )
    return " + ".join(parts) or "–"
