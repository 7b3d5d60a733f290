"""What a prep room makes up: volumes of reagents, masses of solids, waste.

The scaling is the one of common practice (from memory): what the flasks take, a
share on top for rinsing and failed attempts, and what stays behind in each
dispenser bottle; then up to whole bottles.
"""

import math
from collections.abc import Sequence
from enum import StrEnum

from results.science.formula import molar_mass
from results.science.scheme import Scheme

ML_PER_LITRE = 1000.0
# Less than any flask can be filled to: what is left of a volume after arithmetic
# in binary fractions asks for no further bottle.
_NOTHING_ML = 1e-6


class StrengthUnit(StrEnum):
    """How the strength of a solution is written."""

    PERCENT = "g/100 mL"
    MOLAR = "mol/L"
    MILLIMOLAR = "mmol/L"
    GRAMS = "g/L"


def flasks_per_group(scheme: Scheme, blank_flasks: int = 1) -> int:
    """Return the flasks in which a group develops the colour, blanks among them."""
    return len(scheme.standards) + len(scheme.unknowns) + blank_flasks


def needed_mL(
    per_flask_mL: float,
    *,
    n_groups: int,
    flasks: int,
    overage: float,
    dead_volume_mL: float = 0.0,
) -> float:
    """Return the volume of a reagent to have ready, mL.

    Parameters
    ----------
    per_flask_mL : float
        What one flask takes.
    flasks : int
        Flasks of one group.
    overage : float
        Share on top, 0.25 for a quarter.
    dead_volume_mL : float
        What all dispenser bottles together keep back.

    Returns
    -------
    float
        groups × flasks × mL × (1 + overage) + dead volume; 0 without a group.

    Examples
    --------
    >>> needed_mL(10, n_groups=12, flasks=8, overage=0.25)
    1200.0
    """
    if n_groups == 0:
        return 0.0
    return n_groups * flasks * per_flask_mL * (1.0 + overage) + dead_volume_mL


def bottles(need_mL: float, sizes_mL: Sequence[float]) -> tuple[float, ...]:
    """Return prep bottles to fill, mL each, largest first: at least what is needed.

    Whole bottles of the largest size, then the smallest one that holds the rest.

    Raises
    ------
    ValueError
        Without a size above 0.

    Examples
    --------
    >>> bottles(1250, [250, 500, 1000])
    (1000, 250)
    """
    sizes = sorted(sizes_mL)
    if not sizes or sizes[0] <= 0:
        message = "Give at least one size of bottle, each above 0 mL."
        raise ValueError(message)
    largest = sizes[-1]
    whole = max(math.floor((need_mL + _NOTHING_ML) / largest), 0)
    rest = need_mL - whole * largest
    if rest <= _NOTHING_ML:
        return (largest,) * whole
    last = next(size for size in sizes if size >= rest - _NOTHING_ML)
    return (*(largest,) * whole, last)


def solid_g(
    volume_mL: float,
    strength: float,
    unit: StrengthUnit,
    formula: str,
    *,
    purity: float = 1.0,
) -> float:
    """Return the mass of a solid for a volume of solution, g.

    Parameters
    ----------
    formula : str
        Of what is weighed, water of crystallisation and all; used for molar units.
    purity : float
        Mass fraction, above 0 to 1.

    Raises
    ------
    FormulaError
        The formula cannot be read, where the unit needs one.

    Examples
    --------
    >>> round(solid_g(960, 1.2, StrengthUnit.MOLAR, "CH3COONa·3H2O"))
    157
    >>> solid_g(120, 10, StrengthUnit.PERCENT, "")
    12.0
    """
    if unit is StrengthUnit.PERCENT:
        grams = strength * volume_mL / 100.0
    else:
        litres = volume_mL / ML_PER_LITRE
        if unit is StrengthUnit.GRAMS:
            grams = strength * litres
        else:
            per_mol = 1.0 if unit is StrengthUnit.MOLAR else 1e-3
            grams = strength * per_mol * litres * molar_mass(formula)
    return grams / purity


def salt_g(mass_g: float, *, n_groups: int, spare: float) -> float:
    """Return the mass of a solid that groups weigh, with spare weighings, g.

    Examples
    --------
    >>> round(salt_g(0.21, n_groups=12, spare=0.25), 3)
    3.15
    """
    return n_groups * mass_g * (1.0 + spare)


def waste_per_group_mL(
    scheme: Scheme, *, blank_flasks: int = 1, rinsings: float = 0.0
) -> float:
    """Return the volume that a group leaves behind, mL: every flask that it fills.

    What is carried from one flask to the next is counted in both, which errs
    towards the larger container.

    Parameters
    ----------
    rinsings : float
        Share on top for what is rinsed into the container.
    """
    chains = (*scheme.standard_steps, *scheme.unknown_steps)
    stocks = sum(step.make_up_mL for step in chains if not step.is_take)
    tubes = (*scheme.standards, *scheme.unknowns)
    blanks = blank_flasks * max(tube.make_up_mL for tube in scheme.standards)
    return float(
        (stocks + sum(tube.make_up_mL for tube in tubes) + blanks) * (1.0 + rinsings)
    )


def containers(waste_mL: float, container_mL: float, fill: float) -> int:
    """Return the number of waste containers, each filled to a share of its volume only.

    Raises
    ------
    ValueError
        For a container that holds nothing.

    Examples
    --------
    >>> containers(24_600, 5000, 0.8)
    7
    """
    usable_mL = container_mL * fill
    if not usable_mL > 0:
        message = "A container holds more than nothing, and is filled somewhat."
        raise ValueError(message)
    return max(math.ceil((waste_mL - _NOTHING_ML) / usable_mL), 0)
