"""The working itself, right and with every slip, for a batch of groups."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np

from results.science.answer import Answers, Readings
from results.science.arrays import FloatArray, IntArray, mean_present
from results.science.dilution import Scheme, concentrations, iron_percent
from results.science.line import fit_line
from results.science.photometry import usable_absorbance
from results.science.worked.slips import (
    FRACTION_LN_10,
    WorkedSlip,
    line_slips,
    unknown_slips,
    way_back_slips,
)


@dataclass(frozen=True, slots=True)
class Bases:
    """What N groups start from.

    ``x``, ``y`` (N, n) are the standards, ``u`` (N, m) the unknown tubes'
    absorbances, ``percent_of_mg_L``, ``mg_of_mg_L`` (N,) the ways back to the
    powder's content and to the iron in the first flask; the masses are for slips.
    ``decimals`` is how many decimals of a signal are carried on.
    """

    x: FloatArray
    y: FloatArray
    u: FloatArray
    percent_of_mg_L: FloatArray
    mg_of_mg_L: FloatArray
    standard_mass_g: FloatArray
    unknown_mass_g: FloatArray
    decimals: int = 15

    def rows(self, chosen: IntArray) -> "Bases":
        """Return some of the groups."""
        arrays = {f.name: getattr(self, f.name) for f in fields(self)}
        arrays.pop("decimals")
        return replace(self, **{name: a[chosen] for name, a in arrays.items()})


@dataclass(frozen=True, slots=True)
class Workings:
    """Every number of the working under every slip, for N groups.

    ``slope``, ``intercept`` (A, N) by slips of the line; ``signals`` (K, N) what may
    be read off it, ``kind`` (A, B) which of them is, ``sign`` (A, B) how the
    intercept enters, ``backwards`` (A, B) whether the line is solved the wrong way;
    ``factor`` (C, N) of the way back to
    the flask, ``solid`` (C, N) from there to the content.
    """

    slope: FloatArray
    intercept: FloatArray
    signals: FloatArray
    kind: IntArray
    sign: FloatArray
    backwards: FloatArray
    factor: FloatArray
    solid: FloatArray

    def rows(self, chosen: IntArray) -> "Workings":
        """Return some of the groups."""
        return replace(
            self,
            slope=self.slope[:, chosen],
            intercept=self.intercept[:, chosen],
            signals=self.signals[:, chosen],
            factor=self.factor[:, chosen],
            solid=self.solid[:, chosen],
        )


@dataclass(frozen=True, slots=True)
class Library:
    """The slips of one scheme, stage by stage; the first of each is none."""

    line: list[WorkedSlip]
    unknown: list[WorkedSlip]
    back: list[WorkedSlip]


def library(scheme: Scheme) -> Library:
    """List the slips that one scheme's working can have."""
    return Library(line_slips(scheme), unknown_slips(), way_back_slips(scheme))


def bases(scheme: Scheme, readings: Readings, answers: Answers) -> Bases:
    """Lay out what every group had in hand."""
    one = np.where(np.isfinite(answers.unknown_absorbance), 1.0, np.nan)
    taken = readings.unknown_taken_mL * one
    with np.errstate(all="ignore"):
        x = concentrations(scheme, readings.standard_mass_g, readings.standard_taken_mL)
        percent = iron_percent(scheme, one, readings.unknown_mass_g, taken)
        per_mg_L = 1.0 / mean_present(1.0 / percent)
        solid_mg = readings.unknown_mass_g * 1000.0
    column = readings.is_absorbance[:, None, None]
    return Bases(
        x=x,
        y=mean_present(usable_absorbance(readings.standard_signal, column)),
        u=mean_present(usable_absorbance(readings.unknown_signal, column)),
        percent_of_mg_L=per_mg_L,
        mg_of_mg_L=per_mg_L * solid_mg / 100.0,
        standard_mass_g=readings.standard_mass_g,
        unknown_mass_g=readings.unknown_mass_g,
    )


def conventions(scheme: Scheme, start: Bases) -> Iterator[Bases]:
    """Yield the ways a right working can be done: they differ in the last digits.

    Absorbances in full or to three decimals; the salt's purity used or not.
    """
    for one in (start, replace(start, decimals=3)):
        yield one
        if scheme.purity != 1.0:
            yield replace(one, x=one.x / scheme.purity)


def work(scheme: Scheme, start: Bases, slips: Library) -> Workings:
    """Work out every number under every slip."""
    slope, intercept, kinds = _lines(scheme, start, slips.line)
    means = {name: mean_present(v) for name, v in _signals(start.u, start).items()}
    # Transmittances averaged, and only then converted.
    means["percent_averaged"] = 2.0 - np.log10(means["percent_plotted"])
    kind, sign, backwards = _read_offs(kinds, list(means), slips)
    return Workings(
        slope=slope,
        intercept=intercept,
        signals=np.stack(list(means.values())),
        kind=kind,
        sign=sign,
        backwards=backwards,
        factor=np.stack([_flask_factor(slip, start) for slip in slips.back]),
        solid=np.stack([_solid_factor(scheme, slip, start) for slip in slips.back]),
    )


def content(workings: Workings, path: tuple[int, int, int, int], row: int) -> float:
    """Iron content that one group arrives at by one path, percent."""
    a, b, c, d = path
    slope, intercept = workings.slope[a, row], workings.intercept[a, row]
    signed = intercept * workings.sign[a, b]
    signal = workings.signals[workings.kind[a, b], row]
    if workings.backwards[a, b]:
        found = slope * signal + signed
    else:
        found = (signal - signed) / slope
    back = workings.factor[:, row] * workings.solid[:, row]
    return float(found * back[c] * back[d] / back[0])


def _signals(absorbance: FloatArray, start: Bases) -> dict[str, FloatArray]:
    """Absorbance and what may be taken for it, to the decimals carried on."""
    signals = {
        "absorbance": absorbance,
        "natural_log": absorbance * FRACTION_LN_10,
        "percent_plotted": 100.0 * 10.0**-absorbance,
        "log_percent_plotted": 2.0 - absorbance,
        "fraction_in_formula": 2.0 + absorbance,
    }
    carried = {name: np.round(v, start.decimals) for name, v in signals.items()}
    return {**carried, "two_decimals": np.round(absorbance, 2)}


def _lines(
    scheme: Scheme, start: Bases, slips: list[WorkedSlip]
) -> tuple[FloatArray, FloatArray, list[str]]:
    x, signals = start.x, _signals(start.y, start)
    y = signals["absorbance"]
    right = fit_line(x, y)
    slopes, intercepts, kinds = [], [], []
    for slip in slips:
        kind = slip.name if slip.name in signals else "absorbance"
        slope, intercept = right.slope, right.intercept
        if slip.name == "nominal_salt_mass":
            slope = right.slope * start.standard_mass_g / scheme.standard_mass_g
        elif slip.name == "forced_origin":
            slope = _through_origin(x, y)
            intercept = np.zeros_like(slope)
        elif slip.name == "axes_exchanged":
            turned = fit_line(y, x)
            slope, intercept, kind = turned.slope, turned.intercept, "turned"
        elif kind != "absorbance":
            other = fit_line(x, signals[kind])
            slope, intercept = other.slope, other.intercept
        else:
            slope = right.slope / slip.factor
        slopes.append(slope)
        intercepts.append(intercept)
        kinds.append(kind)
    return np.stack(slopes), np.stack(intercepts), kinds


def _through_origin(x: FloatArray, y: FloatArray) -> FloatArray:
    both = np.isfinite(x) & np.isfinite(y)
    xx, yy = np.where(both, x, 0.0), np.where(both, y, 0.0)
    with np.errstate(all="ignore"):
        return np.asarray((xx * yy).sum(axis=1) / (xx * xx).sum(axis=1))


_UNKNOWN_KIND = {
    "natural_log_unknown": "natural_log",
    "percent_for_unknown": "percent_plotted",
    "log_percent_unknown": "log_percent_plotted",
    "fraction_unknown": "fraction_in_formula",
    "percent_averaged": "percent_averaged",
}
_SIGN = {"intercept_left_out": 0.0, "intercept_added": -1.0}


def _read_offs(
    kinds: list[str], signals: list[str], slips: Library
) -> tuple[IntArray, FloatArray, FloatArray]:
    shape = (len(kinds), len(slips.unknown))
    which = np.zeros(shape, dtype=np.int64)
    sign, backwards = np.ones(shape), np.zeros(shape)
    for a, kind in enumerate(kinds):
        for b, slip in enumerate(slips.unknown):
            chosen = _UNKNOWN_KIND.get(slip.name, kind)
            which[a, b] = signals.index(chosen) if chosen in signals else 0
            backwards[a, b] = (kind == "turned") != (slip.name == "solved_backwards")
            sign[a, b] = _SIGN.get(slip.name, 1.0)
    return which, sign, backwards


def _flask_factor(slip: WorkedSlip, start: Bases) -> FloatArray:
    factor = slip.factor if slip.stage == "flask" else 1.0
    return start.mg_of_mg_L * factor


def _solid_factor(scheme: Scheme, slip: WorkedSlip, start: Bases) -> FloatArray:
    with np.errstate(all="ignore"):
        per_mg = start.percent_of_mg_L / start.mg_of_mg_L
        if slip.name == "nominal_unknown_mass":
            return per_mg * start.unknown_mass_g / scheme.unknown_mass_g
        if slip.name == "salt_mass_for_unknown":
            return per_mg * start.unknown_mass_g / start.standard_mass_g
    return per_mg * (slip.factor if slip.stage == "solid" else 1.0)
