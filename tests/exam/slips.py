"""The slips of the exam: what they do, and what should be said of them.

Sizes are those the targets were set with; none has been counted in a real class.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np


def _nothing(_bench, _row):
    """Do nothing."""


@dataclass(frozen=True)
class ExamSlip:
    """One slip: before the reading or at the keys, and the code that is right."""

    codes: frozenset[str]
    on_bench: Callable = _nothing
    in_typing: Callable = _nothing


def _signed(bench, low, high):
    factor = bench.design.size_factor
    return bench.rng.choice([-1, 1]) * bench.rng.uniform(low, high) * factor


def _drop(bench, low, high):
    return -bench.rng.uniform(low, high) * bench.design.size_factor


def _one(bench, row, change):
    tube = int(bench.rng.integers(bench.c.shape[1]))
    bench.c[row, tube] *= 1 + change(tube)
    bench.tube[row] = str(tube + 1)


def _flask(bench, row):
    _one(bench, row, lambda _: _signed(bench, 0.02, 0.10))


def _volume(bench, row):
    sign = bench.rng.choice([-1, 1])
    takes = bench.design.takes
    _one(bench, row, lambda tube: (1 if takes[tube] <= 1 else sign) / takes[tube])


def _swap(bench, row):
    i, j = bench.rng.permutation(bench.c.shape[1])[:2]
    bench.c[row, [i, j]] = bench.c[row, [j, i]]
    bench.tube[row] = ",".join(sorted((str(i + 1), str(j + 1)), key=int))


def _stock(bench, row):
    if bench.rng.random() < 0.5:
        factor = bench.rng.choice([0.1, 0.2, 0.4, 0.5, 2, 2.5, 5, 10])
    else:
        factor = 1 + _signed(bench, 0.03, 0.20)
    bench.c[row] *= factor


def _wavelength(bench, row):
    bench.absorptivity[row] *= 1 + _drop(bench, 0.07, 0.40)


def _unknown_dilution(bench, row):
    design = bench.design
    ratios = [design.powder[2] / design.powder[1], design.tube_mL / design.unknown_take]
    factor = bench.rng.choice(ratios)
    bench.u[row] *= factor if bench.rng.random() < 0.5 else 1 / factor


def _unknown_loss(bench, row):
    bench.u[row] *= 1 + _drop(bench, 0.03, 0.20)


def _ligand(bench, row):
    _one(bench, row, lambda _: -1.0)


def _reductant(bench, row):
    _one(bench, row, lambda _: _drop(bench, 0.10, 0.60))


def _zero(bench, row):
    bench.zero[row] += _signed(bench, 0.01, 0.06)


def _stray(bench, row):
    bench.stray[row] = -_drop(bench, 0.01, 0.05)


def _unknown_tube(bench, row):
    tube = int(bench.rng.integers(bench.u.shape[1]))
    bench.u[row, tube] *= 1 + _signed(bench, 0.03, 0.15)
    bench.tube[row] = f"U{tube + 1}"


def _label(bench, tube):
    n = bench.c.shape[1]
    return str(tube + 1) if tube < n else f"U{tube - n + 1}"


def _absorbance_typed(bench, row):
    values = bench.percent_T[row]
    if bench.rng.random() < 0.5:
        bench.percent_T[row] = np.round(2 - np.log10(values), 3)
        return
    tube = int(bench.rng.integers(len(values)))
    bench.percent_T[row, tube] = max(np.round(2 - np.log10(values[tube]), 3), 0.001)
    bench.tube[row] = _label(bench, tube)


def _transposed(bench, row):
    values = bench.percent_T[row]
    for tube in bench.rng.permutation(len(values)):
        text = f"{values[tube]:.{0 if bench.design.step >= 1 else 1}f}"
        digits = [k for k, sign in enumerate(text) if sign.isdigit()]
        pairs = [
            (a, b)
            for a, b in itertools.pairwise(digits)
            if text[a] != text[b] and not (a == 0 and text[b] == "0")
        ]
        if pairs and len(digits) > 1:
            a, b = pairs[int(bench.rng.integers(len(pairs)))]
            signs = list(text)
            signs[a], signs[b] = signs[b], signs[a]
            bench.percent_T[row, tube] = float("".join(signs))
            bench.tube[row] = _label(bench, int(tube))
            return


def _mass_decimal(bench, row):
    masses = bench.salt_g if bench.rng.random() < 0.5 else bench.powder_g
    masses[row] = round(masses[row] * bench.rng.choice([0.1, 10.0]), 5)


def _nominal(bench, row):
    if bench.rng.random() < 0.5:
        bench.salt_g[row] = bench.design.salt_g
    else:
        bench.powder_g[row] = bench.design.powder_g


def _slip(*codes, bench=_nothing, typing=_nothing):
    return ExamSlip(frozenset(codes), bench, typing)


SLIPS = {
    "one standard flask": _slip("tube_off", bench=_flask),
    "volume by 1 mL": _slip("tube_off", bench=_volume),
    "two tubes swapped": _slip("tubes_swapped", bench=_swap),
    "stock wrong": _slip("standards_side", bench=_stock),
    "wavelength": _slip("meter_scale", bench=_wavelength),
    "unknown dilution": _slip("unknown_side", bench=_unknown_dilution),
    "unknown prep loss": _slip("unknown_side", bench=_unknown_loss),
    "ligand left out": _slip("tube_uncoloured", bench=_ligand),
    "reductant left out": _slip("tube_off", bench=_reductant),
    "zero offset": _slip("zero_offset", bench=_zero),
    "stray light": _slip("curved", bench=_stray),
    "A typed in T": _slip("scale_mixed_up", typing=_absorbance_typed),
    "digits transposed": _slip("mistyped_reading", typing=_transposed),
    "mass decimal": _slip("mistyped_mass", typing=_mass_decimal),
    "nominal mass": _slip("nominal_mass", typing=_nominal),
    "one unknown tube": _slip("unknown_tube_off", bench=_unknown_tube),
}
