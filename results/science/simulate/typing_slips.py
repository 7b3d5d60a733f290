"""What goes wrong between the notebook and the keys, and copied sets."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from results.science.simulate.layout import Layout
from results.science.simulate.plan import Plan
from results.science.simulate.records import Slip

Array = NDArray[np.float64]


@dataclass(slots=True)
class Notebook:
    """Masses, volumes and meter values of N groups; slips change them in place.

    ``values`` of shape (N, n + m) holds standards first, on each station's own scale.
    """

    plan: Plan
    layout: Layout
    station: NDArray[np.intp]
    standard_mass_g: Array
    unknown_mass_g: Array
    standard_taken_mL: Array
    unknown_taken_mL: Array
    values: Array

    @property
    def reads_absorbance(self) -> NDArray[np.bool_]:
        """Whether each group reads absorbance; shape (N,)."""
        return self.layout.stations.reads_absorbance[self.station]

    def copy(self) -> "Notebook":
        """Return a second set of arrays, to be mistyped."""
        return Notebook(
            self.plan,
            self.layout,
            self.station.copy(),
            self.standard_mass_g.copy(),
            self.unknown_mass_g.copy(),
            self.standard_taken_mL.copy(),
            self.unknown_taken_mL.copy(),
            self.values.copy(),
        )

    def tube_label(self, index: int) -> str:
        """Label of a column of ``values``."""
        return (*self.plan.standards.tubes, *self.plan.unknown.tubes)[index]

    def decimals(self, group: int) -> int:
        """Decimals that a group's scale is read to."""
        step = float(self.layout.stations.step[self.station[group]])
        return max(0, math.ceil(-math.log10(step)))


TypingSlip = Callable[[Generator, Notebook, int], Slip | None]


def _copied(rng: Generator, notes: Notebook, group: int) -> Slip | None:
    section = notes.layout.section
    near = [n for n in (group - 1, group + 1) if 0 <= n < len(section)]
    peers = [n for n in near if section[n] == section[group]]
    if not peers:
        return None
    source = int(rng.choice(peers))
    for column in (
        notes.station,
        notes.standard_taken_mL,
        notes.unknown_taken_mL,
        notes.values,
    ):
        column[group] = column[source]
    return Slip("same_readings", f"copied_from_{source - group:+d}")


def _reading_mistyped(rng: Generator, notes: Notebook, group: int) -> Slip:
    kind = int(rng.choice(4, p=(0.4, 0.3, 0.1, 0.2)))
    if kind == 3:
        return _scale_mixed_up(rng, notes, group)
    index = int(rng.integers(0, notes.values.shape[1]))
    meant = float(notes.values[group, index])
    decimals = notes.decimals(group)
    typed, detail = meant, ""
    if kind == 0:
        typed, detail = swap_digits(rng, meant, decimals), "digits_swapped"
    if kind == 2:
        typed, detail = round(meant / 10, decimals + 1), "decimal_shifted"
    if typed == meant:
        ten = 0.1 if notes.reads_absorbance[group] else 10.0
        typed, detail = round(meant + (ten if meant < 5 * ten else -ten), 3), "ten_off"
    notes.values[group, index] = typed
    label = notes.tube_label(index)
    return Slip("mistyped_reading", detail, label, typed / meant - 1 if meant else 0.0)


def _scale_mixed_up(rng: Generator, notes: Notebook, group: int) -> Slip:
    everything = bool(rng.random() < 0.5)
    index = int(rng.integers(0, notes.values.shape[1]))
    columns = slice(None) if everything else slice(index, index + 1)
    meant = notes.values[group, columns]
    if notes.reads_absorbance[group]:
        notes.values[group, columns] = np.round(100 * 10**-meant, 1)
        detail = "percent_T_typed_as_absorbance"
    else:
        notes.values[group, columns] = np.round(2 - np.log10(meant), 3)
        detail = "absorbance_typed_as_percent_T"
    return Slip("scale_mixed_up", detail, "" if everything else notes.tube_label(index))


def _mass_mistyped(rng: Generator, notes: Notebook, group: int) -> Slip | None:
    of_salt = bool(rng.random() < 0.5)
    masses = notes.standard_mass_g if of_salt else notes.unknown_mass_g
    powder = "standard" if of_salt else "unknown"
    meant = float(masses[group])
    kind = int(rng.choice(4, p=(0.2, 0.2, 0.4, 0.2)))
    if kind == 3:
        side = notes.plan.standards if of_salt else notes.plan.unknown
        masses[group] = side.mass_g
        change = side.mass_g / meant - 1
        return Slip("nominal_mass", f"{powder}_mass", size=change) if change else None
    if kind == 2:
        masses[group] = swap_digits(rng, meant, 4)
        detail = "digits_swapped"
    else:
        masses[group] = round(meant * (0.1, 10.0)[kind], 5)
        detail = "decimal_shifted"
    change = float(masses[group]) / meant - 1
    if not change:
        return None
    return Slip("mistyped_mass", f"{powder}_{detail}", size=change)


def swap_digits(rng: Generator, value: float, decimals: int) -> float:
    """Exchange two neighbouring digits that differ; the value itself if none do.

    Examples
    --------
    >>> swap_digits(np.random.default_rng(1), 76.7, 0)
    77.0
    >>> swap_digits(np.random.default_rng(1), 76.0, 0)
    67.0
    """
    digits = list(f"{value:.{decimals}f}")
    places = [i for i, character in enumerate(digits) if character.isdigit()]
    pairs = [
        (left, right)
        for left, right in pairwise(places)
        # A leading zero stays where it is: nobody types 4.21 for 0.421 by swapping.
        if digits[left] != digits[right] and not (left == 0 and digits[0] == "0")
    ]
    if pairs:
        left, right = pairs[int(rng.integers(0, len(pairs)))]
        digits[left], digits[right] = digits[right], digits[left]
    return float("".join(digits))


#: What happens to the notebook itself, before anything is typed.
COPYING: Mapping[str, TypingSlip] = {"copied_set": _copied}
#: What happens at the keys.
TYPING_SLIPS: Mapping[str, TypingSlip] = {
    "reading_mistyped": _reading_mistyped,
    "mass_mistyped": _mass_mistyped,
}
