"""The scheme: how standards and unknown are made and read, as data."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from results.science.arrays import FloatArray
from results.science.glassware import Tolerances

ML_PER_LITRE = 1000.0


@dataclass(frozen=True, slots=True)
class Step:
    """Take some of the solution before it, or make what there is up to a volume.

    Exactly one of ``make_up_mL`` and ``take_mL`` is a number, the other is NaN.
    """

    make_up_mL: float = math.nan
    take_mL: float = math.nan
    delivery: str = ""

    @property
    def is_take(self) -> bool:
        """Whether the step takes a part of the solution."""
        return not math.isnan(self.take_mL)


@dataclass(frozen=True, slots=True)
class Tube:
    """One measured solution: a volume taken, made up to another."""

    label: str
    take_mL: float
    make_up_mL: float
    delivery: str = "pipette"


@dataclass(frozen=True, slots=True)
class Reading:
    """How the meter is read: its scale, its smallest step, its standard deviation.

    ``step`` and ``sd`` are in units of the scale (percent or absorbance);
    ``sd_relative`` is a further part that grows with the reading itself.
    """

    scale: str = "percent_T"
    step: float = 0.5
    sd: float = 0.3
    sd_relative: float = 0.0


@dataclass(frozen=True, slots=True)
class Scheme:
    """How standards and unknown are made, and how the meter is read.

    With ``use_blank`` the reagent blank is a point of the line at no analyte, as the
    group read it, or at zero absorbance where the meter was merely set on it.
    """

    analyte: str
    wavelength_nm: float
    path_cm: float
    formula: str
    analyte_fraction: float
    purity: float
    purity_u: float
    standard_mass_g: float
    standard_steps: tuple[Step, ...]
    standards: tuple[Tube, ...]
    unknown_mass_g: float
    unknown_steps: tuple[Step, ...]
    unknowns: tuple[Tube, ...]
    reading: Reading
    tolerances: Tolerances = field(default_factory=Tolerances)
    use_blank: bool = False

    @property
    def standard_labels(self) -> tuple[str, ...]:
        """Labels of the n standards."""
        return tuple(tube.label for tube in self.standards)

    @property
    def unknown_labels(self) -> tuple[str, ...]:
        """Labels of the m unknown tubes."""
        return tuple(tube.label for tube in self.unknowns)

    @property
    def standard_take_mL(self) -> FloatArray:
        """Nominal volumes of the standards, shape (n,)."""
        return np.array([tube.take_mL for tube in self.standards])

    @property
    def unknown_take_mL(self) -> FloatArray:
        """Nominal volumes of the unknown tubes, shape (m,)."""
        return np.array([tube.take_mL for tube in self.unknowns])

    @property
    def standard_make_up_mL(self) -> FloatArray:
        """Flask volumes of the standards, shape (n,)."""
        return np.array([tube.make_up_mL for tube in self.standards])

    @property
    def unknown_make_up_mL(self) -> FloatArray:
        """Flask volumes of the unknown tubes, shape (m,)."""
        return np.array([tube.make_up_mL for tube in self.unknowns])

    @property
    def standard_chain_per_litre(self) -> tuple[float, ...]:
        """Share of the weighed standard in a litre of each flask, 1/L."""
        return _shares_per_litre(self.standard_steps)

    @property
    def unknown_chain_per_litre(self) -> tuple[float, ...]:
        """Share of the weighed unknown in a litre of each flask, 1/L."""
        return _shares_per_litre(self.unknown_steps)


def _shares_per_litre(steps: Sequence[Step]) -> tuple[float, ...]:
    share, volume_mL, per_litre = 1.0, math.nan, []
    for step in steps:
        if step.is_take:
            share *= step.take_mL / volume_mL
        else:
            volume_mL = step.make_up_mL
            per_litre.append(share * ML_PER_LITRE / volume_mL)
    return tuple(per_litre)
