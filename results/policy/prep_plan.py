"""What the prep room of a course goes by: recipes, overage, bottles, containers.

A plan is a document like a protocol: read here, its problems named one by one. What
a course has not decided yet is suggested from its protocol.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from results.policy.hazards import substance_of
from results.policy.numbers import NotANumber, read_number
from results.policy.protocol import Reagent
from results.policy.refusals import NotAdmitted, Problem
from results.science.formula import FormulaError, molar_mass
from results.science.prep import StrengthUnit

UNITS = tuple(unit.value for unit in StrengthUnit)
MOST_EXTRAS = 3
MOST_BOTTLES = 8
_LONGEST = 120
_STRENGTH = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(%|mM|mmol/L|M\b|mol/L|g/L)", re.IGNORECASE
)
_UNITS = {
    "%": StrengthUnit.PERCENT,
    "m": StrengthUnit.MOLAR,
    "mol/l": StrengthUnit.MOLAR,
    "mm": StrengthUnit.MILLIMOLAR,
    "mmol/l": StrengthUnit.MILLIMOLAR,
    "g/l": StrengthUnit.GRAMS,
}


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a reagent of the protocol is made up.

    Attributes
    ----------
    reagent : str
        Its name in the protocol.
    formula : str
        Of the solid weighed, its water and all.
    strength : float
        In `unit`; 0 while nobody has said.
    purity : float
        Mass fraction of the solid.
    """

    reagent: str
    formula: str = ""
    strength: float = 0.0
    unit: StrengthUnit = StrengthUnit.PERCENT
    purity: float = 1.0

    @property
    def is_known(self) -> bool:
        """Whether a mass can be worked out."""
        return self.strength > 0


@dataclass(frozen=True, slots=True)
class Extra:
    """What groups need beside the reagents, such as acid for their stocks."""

    name: str
    per_group_mL: float


# What a number may be, and what is said of others. Shares are typed in percent.
_NUMBERS = {
    "overage_percent": (0, 300, "Give the share on top in percent, 0 to 300."),
    "dispensers": (0, 200, "Give the dispenser bottles of one reagent, 0 to 200."),
    "dead_volume_mL": (0, 5000, "Give the mL that a dispenser keeps back, 0 to 5000."),
    "blank_flasks": (0, 10, "Give the blank flasks of a group, 0 to 10."),
    "spare_percent": (0, 300, "Give the spare weighings in percent, 0 to 300."),
    "rinsings_percent": (0, 300, "Give the rinsings in percent, 0 to 300."),
    "container_mL": (1, 200_000, "Give the size of a container in mL, 1 to 200 000."),
    "fill_percent": (1, 100, "Give how far a container is filled, 1 to 100 %."),
}
_WHOLE = ("dispensers", "blank_flasks")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrepPlan:
    """What the prep room goes by; the defaults are common practice, from memory."""

    recipes: tuple[Recipe, ...] = ()
    extras: tuple[Extra, ...] = ()
    bottles_mL: tuple[float, ...] = (100.0, 250.0, 500.0, 1000.0, 2000.0)
    overage_percent: float = 25.0
    dispensers: float = 2.0
    dead_volume_mL: float = 50.0
    blank_flasks: float = 1.0
    spare_percent: float = 25.0
    rinsings_percent: float = 10.0
    container_mL: float = 5000.0
    fill_percent: float = 80.0

    def recipe_of(self, reagent: str) -> Recipe:
        """Return the recipe of a reagent; one without a strength if there is none."""
        for one in self.recipes:
            if one.reagent == reagent:
                return one
        return suggested_recipe(reagent)

    def as_document(self) -> dict[str, Any]:
        """Return the plan as it is stored."""
        return asdict(self)


@dataclass(slots=True)
class _Typed:
    """Boxes of a form, and what is wrong with them."""

    boxes: Mapping[str, str]
    problems: list[Problem] = field(default_factory=list)

    def number(self, name: str, *, low: float, high: float, sentence: str) -> float:
        try:
            value = read_number(self.boxes.get(name, ""))
        except NotANumber:
            value = low - 1
        if not low <= value <= high:
            self.problems.append(Problem((name,), sentence))
        return value

    def text(self, name: str) -> str:
        text = self.boxes.get(name, "").replace("\x00", "").strip()
        if len(text) > _LONGEST:
            message = f"Shorten it to {_LONGEST} signs."
            self.problems.append(Problem((name,), message))
        return text


def suggested_recipe(reagent: str) -> Recipe:
    """Return what a reagent's name says of its strength, with the usual solid.

    Examples
    --------
    >>> one = suggested_recipe("sodium acetate, 1.2 M solution")
    >>> one.strength, str(one.unit), one.formula
    (1.2, 'mol/L', 'CH3COONa·3H2O')
    """
    substance = substance_of(reagent)
    formula = substance.formula if substance else ""
    said = _STRENGTH.search(reagent)
    if said is None:
        return Recipe(reagent, formula)
    unit = _UNITS[said[2].casefold()]
    return Recipe(reagent, formula, float(said[1].replace(",", ".")), unit)


def suggested_plan(reagents: Iterable[Reagent]) -> PrepPlan:
    """Return the plan of a course that has not decided on one."""
    return PrepPlan(recipes=tuple(suggested_recipe(one.name) for one in reagents))


def stored_plan(document: Mapping[str, Any]) -> PrepPlan:
    """Return a plan as it was stored by `PrepPlan.as_document`."""
    return PrepPlan(
        **{
            **document,
            "recipes": tuple(
                Recipe(**{**one, "unit": StrengthUnit(one["unit"])})
                for one in document["recipes"]
            ),
            "extras": tuple(Extra(**one) for one in document["extras"]),
            "bottles_mL": tuple(document["bottles_mL"]),
        }
    )


def read_plan(boxes: Mapping[str, str], reagents: Iterable[str]) -> PrepPlan:
    """Return a plan as typed.

    Parameters
    ----------
    boxes : mapping
        `formula-0`, `strength-0`, `unit-0` and `purity-0` for the first of the
        reagents and so on, `extra-name-0` and `extra-mL-0`, `bottles_mL`, and the
        numbers by their names.

    Raises
    ------
    NotAdmitted
        Something needs mending; all of it is named by its box.
    """
    typed = _Typed(boxes)
    numbers = {
        name: typed.number(name, low=low, high=high, sentence=sentence)
        for name, (low, high, sentence) in _NUMBERS.items()
    }
    for name in _WHOLE:
        if numbers[name] % 1:
            typed.problems.append(Problem((name,), "Give a whole number."))
    plan = PrepPlan(
        recipes=tuple(_recipe(typed, i, one) for i, one in enumerate(reagents)),
        extras=_extras(typed),
        bottles_mL=_bottles(typed),
        **numbers,
    )
    if typed.problems:
        raise NotAdmitted(typed.problems)
    return plan


def _recipe(typed: _Typed, index: int, reagent: str) -> Recipe:
    formula = typed.text(f"formula-{index}")
    unit = _unit(typed, f"unit-{index}")
    if not typed.text(f"strength-{index}"):
        return Recipe(reagent, formula, unit=unit)
    strength = typed.number(
        f"strength-{index}",
        low=1e-6,
        high=1e4,
        sentence="Give the strength as a number above 0, or leave it empty.",
    )
    percent = typed.number(
        f"purity-{index}",
        low=1,
        high=100,
        sentence="Give the purity of the solid in percent, 1 to 100.",
    )
    if unit in {StrengthUnit.MOLAR, StrengthUnit.MILLIMOLAR} or formula:
        _check_formula(typed, f"formula-{index}", formula)
    return Recipe(reagent, formula, strength, unit, percent / 100)


def _unit(typed: _Typed, name: str) -> StrengthUnit:
    try:
        return StrengthUnit(typed.text(name))
    except ValueError:
        typed.problems.append(Problem((name,), "Choose a unit from the list."))
        return StrengthUnit.PERCENT


def _check_formula(typed: _Typed, name: str, formula: str) -> None:
    try:
        molar_mass(formula)
    except FormulaError as error:
        typed.problems.append(Problem((name,), str(error)))


def _extras(typed: _Typed) -> tuple[Extra, ...]:
    extras = []
    for index in range(MOST_EXTRAS):
        name = typed.text(f"extra-name-{index}")
        if name or typed.text(f"extra-mL-{index}"):
            if not name:
                message = "Say what it is."
                typed.problems.append(Problem((f"extra-name-{index}",), message))
            volume_mL = typed.number(
                f"extra-mL-{index}",
                low=0.01,
                high=100_000,
                sentence="Give the mL of one group as a number above 0.",
            )
            extras.append(Extra(name, volume_mL))
    return tuple(extras)


def _bottles(typed: _Typed) -> tuple[float, ...]:
    parts = typed.text("bottles_mL").replace(";", " ").split()
    try:
        sizes = sorted({read_number(part.rstrip(",")) for part in parts})
    except NotANumber:
        sizes = []
    if not sizes or sizes[0] < 1 or sizes[-1] > 100_000 or len(sizes) > MOST_BOTTLES:
        message = (
            f"Give the sizes of your prep bottles in mL, 1 to 100 000, parted by "
            f"blanks; {MOST_BOTTLES} at most."
        )
        typed.problems.append(Problem(("bottles_mL",), message))
        return ()
    return tuple(sizes)
