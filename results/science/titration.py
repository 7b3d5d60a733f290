"""Iron in a weighed solid from a redox titration, with its uncertainty."""

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from results.science.arrays import FloatArray
from results.science.estimates import Component
from results.science.formula import ATOMIC_WEIGHTS

_ML_PER_L = 1000.0


class Titrant(Enum):
    """What oxidises the iron(II), by moles of iron per mole of it.

    Cr₂O₇²⁻ + 6 Fe²⁺ + 14 H⁺ → 2 Cr³⁺ + 6 Fe³⁺ + 7 H₂O, and Ce⁴⁺ + Fe²⁺ → Ce³⁺ + Fe³⁺.
    """

    DICHROMATE = 6
    CERIUM = 1


@dataclass(frozen=True, slots=True)
class Titrations:
    """What the titrations of one assay share.

    Attributes
    ----------
    titrant : Titrant
    titrant_mol_L, u_titrant_mol_L : float
        Concentration and its standard uncertainty.
    blank_mL : float
        Titre without a sample.
    burette_limit_mL : float
        The ± on the burette; a triangular distribution, as in QUAM example A1.
    balance_u_g : float
        Standard uncertainty of a weighing by difference.
    """

    titrant: Titrant
    titrant_mol_L: float
    u_titrant_mol_L: float
    blank_mL: float = 0.0
    burette_limit_mL: float = 0.05
    balance_u_g: float = 0.0002


def iron_percent(
    mass_g: ArrayLike, titre_mL: ArrayLike, shared: Titrations
) -> FloatArray:
    """Return the iron content of each sample, % by mass.

    w = 100 (V - V_blank) c z M(Fe) / m, with z moles of iron per mole of titrant.

    Parameters
    ----------
    mass_g, titre_mL : array (n,)

    Examples
    --------
    A millilitre of 0.01667 mol/L dichromate stands for 5.585 mg of iron:

    >>> shared = Titrations(Titrant.DICHROMATE, 0.1 / 6, 0.0)
    >>> iron_percent([0.55845], [10.0], shared).round(4).tolist()
    [10.0]
    """
    net_mL = np.asarray(titre_mL, dtype=np.float64) - shared.blank_mL
    mol = net_mL / _ML_PER_L * shared.titrant_mol_L * shared.titrant.value
    grams = mol * ATOMIC_WEIGHTS["Fe"]
    return np.asarray(100.0 * grams / np.asarray(mass_g, dtype=np.float64))


def shared_components(
    mass_g: ArrayLike, titre_mL: ArrayLike, shared: Titrations
) -> tuple[Component, ...]:
    """Return what all titrations have in common, as standard uncertainties.

    Parameters
    ----------
    mass_g, titre_mL : array (n,)

    Notes
    -----
    First-order propagation at the mean sample (JCGM 100:2008, 5.1.2). What differs
    from one titration to the next is in their scatter already.
    """
    value = float(np.mean(iron_percent(mass_g, titre_mL, shared)))
    net_mL = float(np.mean(np.asarray(titre_mL, dtype=np.float64))) - shared.blank_mL
    grams = float(np.mean(np.asarray(mass_g, dtype=np.float64)))
    relative = {
        "titrant": shared.u_titrant_mol_L / shared.titrant_mol_L,
        "burette": shared.burette_limit_mL / np.sqrt(6.0) / net_mL,
        "weighing": shared.balance_u_g / grams,
    }
    return tuple(
        Component(name, abs(value) * float(share)) for name, share in relative.items()
    )
