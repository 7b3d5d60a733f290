"""What each known slip does to one group's sheet: on the bench, and at the keys."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from results.science.arrays import FloatArray
from results.science.dilution import Scheme
from results.science.simulate.typing_slips import swap_digits


@dataclass(slots=True)
class Sheet:
    """One group's readings, to be changed in place.

    ``absorbance`` (P, R) is what the meter is about to show; ``values`` (P, R), once
    shown, is what is typed.
    """

    scheme: Scheme
    rng: Generator
    n: int
    absorbance: FloatArray
    values: FloatArray
    taken_mL: FloatArray
    masses_g: dict[str, float]
    reads_absorbance: bool
    step: float

    def standard(self) -> int:
        """Choose a standard that is dark enough for a slip to show."""
        return int(self.rng.integers(self.n // 2, self.n))

    def unknown(self) -> int:
        """Choose an unknown tube."""
        return int(self.rng.integers(self.n, len(self.absorbance)))


#: Changes a sheet before it is read, or after; answers the tubes concerned.
Effect = Callable[[Sheet], tuple[int, ...]]


def _tube(*, unknown: bool, low: float, high: float) -> Effect:
    """Multiply what one tube holds by a factor between two."""

    def effect(sheet: Sheet) -> tuple[int, ...]:
        tube = sheet.unknown() if unknown else sheet.standard()
        sheet.absorbance[tube] *= sheet.rng.uniform(low, high)
        return (tube,)

    return effect


def _darker(*, unknown: bool) -> Effect:
    def effect(sheet: Sheet) -> tuple[int, ...]:
        tube = sheet.unknown() if unknown else 0
        sheet.absorbance[tube] += sheet.rng.uniform(0.05, 0.08)
        return (tube,)

    return effect


def _side(factor: float, *, standards: bool = False, unknowns: bool = False) -> Effect:
    def effect(sheet: Sheet) -> tuple[int, ...]:
        if standards:
            sheet.absorbance[: sheet.n] *= factor
        if unknowns:
            sheet.absorbance[sheet.n :] *= factor
        return ()

    return effect


def _zero(offset: float) -> Effect:
    def effect(sheet: Sheet) -> tuple[int, ...]:
        sheet.absorbance += offset
        return ()

    return effect


def _step(sheet: Sheet) -> tuple[int, ...]:
    tube = int(np.argmax(sheet.taken_mL[: sheet.n] > 1.5))
    sheet.absorbance[tube] *= 1.0 + 1.0 / sheet.taken_mL[tube]
    return (tube,)


def _stray(sheet: Sheet) -> tuple[int, ...]:
    light = 10.0**-sheet.absorbance
    sheet.absorbance = -np.log10((light + 0.04) / 1.04)
    return ()


def _plateau(sheet: Sheet) -> tuple[int, ...]:
    limit = 0.6 * sheet.absorbance[: sheet.n].max()
    sheet.absorbance = np.minimum(sheet.absorbance, limit)
    return ()


def _swap(sheet: Sheet, i: int, j: int) -> tuple[int, ...]:
    sheet.absorbance[[i, j]] = sheet.absorbance[[j, i]]
    return i, j


def _shift(sheet: Sheet) -> tuple[int, ...]:
    sheet.absorbance[1 : sheet.n] = sheet.absorbance[: sheet.n - 1].copy()
    sheet.absorbance[0] = 0.0
    return ()


def _scatter(sheet: Sheet) -> tuple[int, ...]:
    """Spoil several tubes at once, in no known way."""
    factors = sheet.rng.permutation(np.linspace(0.6, 1.6, len(sheet.absorbance)))
    sheet.absorbance *= factors[:, None]
    return ()


AT_THE_BENCH: Mapping[str, Effect] = {
    "tube_fill": _tube(unknown=False, low=1.08, high=1.10),
    "tube_step": _step,
    "tube_wrong": _tube(unknown=False, low=0.76, high=0.85),
    "tube_far": _tube(unknown=False, low=1.6, high=1.9),
    "tube_pale": _tube(unknown=False, low=0.45, high=0.65),
    "tube_dark": _darker(unknown=False),
    "tube_uncoloured": _tube(unknown=False, low=0.0, high=0.0),
    "swap": lambda sheet: _swap(sheet, sheet.n - 2, sheet.n - 1),
    "swap_unknown": lambda sheet: _swap(sheet, 0, sheet.n),
    "shifted": _shift,
    "standards_loss": _side(0.88, standards=True),
    "standards_gain": _side(1.12, standards=True),
    "standards_far": _side(0.63, standards=True),
    "standards_factor": _side(0.5, standards=True),
    "meter_low": _side(0.75, standards=True, unknowns=True),
    "meter_far": _side(0.3, standards=True, unknowns=True),
    "meter_high": _side(1.15, standards=True, unknowns=True),
    "zero_high": _zero(0.04),
    "zero_low": _zero(-0.04),
    "stray": _stray,
    "plateau": _plateau,
    "unknown_loss": _side(0.86, unknowns=True),
    "unknown_gain": _side(1.14, unknowns=True),
    "unknown_far": _side(0.57, unknowns=True),
    "unknown_factor": _side(0.4, unknowns=True),
    "unknown_tube": _tube(unknown=True, low=0.85, high=0.9),
    "unknown_tube_far": _tube(unknown=True, low=1.5, high=1.8),
    "unknown_pale": _tube(unknown=True, low=0.5, high=0.7),
    "unknown_dark": _darker(unknown=True),
    "unknown_uncoloured": _tube(unknown=True, low=0.0, high=0.0),
    "unexplained": _scatter,
}


def _digits(sheet: Sheet) -> tuple[int, ...]:
    decimals = 3 if sheet.reads_absorbance else int(sheet.step < 1.0)
    for tube in sheet.rng.permutation(len(sheet.values)).tolist():
        typed = swap_digits(sheet.rng, float(sheet.values[tube, 0]), decimals)
        if abs(typed - sheet.values[tube, 0]) > 0.15 * sheet.values[tube, 0]:
            sheet.values[tube, 0] = typed
            return (tube,)
    return ()


def _ten(sheet: Sheet) -> tuple[int, ...]:
    tube = sheet.standard()
    sheet.values[tube, 0] += 0.1 if sheet.reads_absorbance else 10.0
    return (tube,)


def _decimal(sheet: Sheet) -> tuple[int, ...]:
    tube = sheet.standard()
    sheet.values[tube, 0] = round(float(sheet.values[tube, 0]) / 10.0, 4)
    return (tube,)


def _other_scale(sheet: Sheet, tubes: slice) -> None:
    values = sheet.values[tubes]
    sheet.values[tubes] = (
        np.round(100.0 * 10.0**-values, 1)
        if sheet.reads_absorbance
        else np.round(2.0 - np.log10(values), 3)
    )


def _scale_one(sheet: Sheet) -> tuple[int, ...]:
    tube = sheet.standard()
    _other_scale(sheet, slice(tube, tube + 1))
    return (tube,)


def _scale_all(sheet: Sheet) -> tuple[int, ...]:
    _other_scale(sheet, slice(None))
    return ()


def _volume(sheet: Sheet) -> tuple[int, ...]:
    tube = sheet.standard()
    sheet.taken_mL[tube] *= 1.25
    return (tube,)


def _mass(which: str, kind: str) -> Effect:
    def effect(sheet: Sheet) -> tuple[int, ...]:
        mass_g = sheet.masses_g[which]
        if kind == "decimal":
            typed = mass_g * 10.0
        elif kind == "nominal":
            typed = getattr(sheet.scheme, f"{which}_mass_g")
        else:
            tens, hundreds = int(mass_g * 1e3) % 10, int(mass_g * 1e2) % 10
            typed = mass_g + (tens - hundreds) * 0.009
        sheet.masses_g[which] = round(float(typed), 5)
        return ()

    return effect


AT_THE_KEYS: Mapping[str, Effect] = {
    "digits_swapped": _digits,
    "tens_misread": _ten,
    "decimal_shifted": _decimal,
    "scale_one": _scale_one,
    "scale_all": _scale_all,
    "volume_typed": _volume,
    "salt_mass_digits": _mass("standard", "digits"),
    "unknown_mass_digits": _mass("unknown", "digits"),
    "salt_mass_decimal": _mass("standard", "decimal"),
    "unknown_mass_decimal": _mass("unknown", "decimal"),
    "salt_mass_nominal": _mass("standard", "nominal"),
    "unknown_mass_nominal": _mass("unknown", "nominal"),
}
