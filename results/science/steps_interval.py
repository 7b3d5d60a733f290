"""The unknown read off its line, and the interval, step by step."""

import math
from dataclasses import dataclass

import numpy as np

from results.science.budget import SharedVariance
from results.science.estimate import FIELLER_FROM
from results.science.ledger import Ledger, add_up, put
from results.science.scheme import Step
from results.science.steps_line import Point, WeightedLine, reading_variance
from results.science.student import two_sided_95


@dataclass(frozen=True, slots=True)
class Measured:
    """What an answer is computed from beside its line."""

    points: list[Point]
    unknown_mass_g: float
    standard_mass_g: float
    steps: tuple[Step, ...]
    shared: SharedVariance


@dataclass(frozen=True, slots=True)
class _Found:
    """An answer before its interval: mg/L, percent per mg/L, variances, u and k."""

    x: float
    to_percent: float
    own: float
    type_b: float
    u: float
    k: float


def interval(ledger: Ledger, line: WeightedLine, measured: Measured) -> None:
    """Write down the answer and how its interval comes about."""
    mean_share, x = _read_off(ledger, line, measured.points)
    to_percent = _percent_per_mg_L(ledger, measured, mean_share)
    iron = ledger.write(
        "Iron content",
        "iron = x0 × percent per mg/L",
        f"{put(x)} × {put(to_percent)}",
        (x * to_percent, "%"),
        "the answer",
    )
    ledger.part = "Uncertainty"
    tubes = _tubes(ledger, line, (x, mean_share), measured.points)
    own = ledger.write(
        "Variance from the line and the unknown tubes, relative",
        "u_cal^2 = phi × (v0 + 1 / W + (x0 - mean x)^2 / Sxx) / (b × x0)^2",
        f"{put(line.phi)} × ({put(tubes)} + 1 / {put(line.sum_weights)}"
        f" + ({put(x)} - {put(line.mean_x)})^2 / ({put(line.sum_squares_x)}))"
        f" / ({put(line.slope)} × {put(x)})^2",
        (
            line.phi
            * (
                tubes
                + 1.0 / line.sum_weights
                + (x - line.mean_x) ** 2 / line.sum_squares_x
            )
            / (line.slope * x) ** 2,
            "",
        ),
    )
    type_b = _type_b(ledger, measured)
    u = ledger.write(
        "Standard uncertainty",
        "u = iron × sqrt(u_cal^2 + u_B^2)",
        f"{put(iron)} × sqrt({put(own)} + {put(type_b)})",
        (iron * math.sqrt(own + type_b), "%"),
    )
    ledger.part = "Interval"
    k = _coverage(ledger, line, own, type_b)
    _ends(ledger, line, _Found(x, to_percent, own, type_b, u, k))


def _read_off(
    ledger: Ledger, line: WeightedLine, points: list[Point]
) -> tuple[float, float]:
    mean = ledger.write(
        "Mean absorbance of the unknown tubes",
        "mean A0 = sum of A / tubes",
        f"({add_up([put(p.absorbance) for p in points])}) / {len(points)}",
        (math.fsum(p.absorbance for p in points) / len(points), ""),
    )
    share = ledger.write(
        "Mean share of the solution",
        "mean f = sum of f / tubes",
        f"({add_up([put(p.content) for p in points])}) / {len(points)}",
        (math.fsum(p.content for p in points) / len(points), ""),
    )
    x = ledger.write(
        "Concentration of the unknown tube",
        "x0 = mean x + (mean A0 - mean A) / b",
        f"{put(line.mean_x)} + ({put(mean)} - {put(line.mean_y)}) / {put(line.slope)}",
        (line.mean_x + (mean - line.mean_y) / line.slope, "mg/L"),
    )
    return share, x


def _percent_per_mg_L(ledger: Ledger, measured: Measured, mean_share: float) -> float:
    mg, mg_L = 1000.0 * measured.unknown_mass_g, math.nan
    for step in measured.steps:
        if step.is_take:
            mg = ledger.write(
                "Solid taken into the next flask",
                "mg = c × V / 1000",
                f"{put(mg_L)} × {put(step.take_mL)} / 1000",
                (mg_L * step.take_mL / 1000, "mg"),
            )
        else:
            mg_L = ledger.write(
                f"Solid in the {step.make_up_mL:g} mL flask",
                "c = 1000 × mg / V",
                f"1000 × {put(mg)} / {put(step.make_up_mL)}",
                (1000 * mg / step.make_up_mL, "mg/L"),
            )
    return ledger.write(
        "Percent per mg/L",
        "100 / (c × mean f)",
        f"100 / ({put(mg_L)} × {put(mean_share)})",
        (100.0 / (mg_L * mean_share), "%/(mg/L)"),
    )


def _tubes(
    ledger: Ledger, line: WeightedLine, place: tuple[float, float], points: list[Point]
) -> float:
    x, mean_share = place
    variances = []
    for point in points:
        signal = ledger.write(
            f"Absorbance of {point.label} above zero, on the line",
            "s = b × x0 × f / mean f",
            f"{put(line.slope)} × {put(x)} × {put(point.content)} / {put(mean_share)}",
            (line.slope * x * point.content / mean_share, ""),
        )
        reading = reading_variance(
            ledger, point.label, line.intercept + signal, point.meter
        )
        variances.append(
            ledger.write(
                f"Variance of {point.label}",
                "v = v_r / readings + s^2 × r",
                f"{put(reading)} / {point.replicates}"
                f" + {put(signal)}^2 × {put(point.fill)}",
                (reading / point.replicates + signal**2 * point.fill, ""),
            )
        )
    count = len(points)
    return ledger.write(
        "Variance of the mean unknown absorbance",
        "v0 = sum of v / tubes^2",
        f"({add_up([put(v) for v in variances])}) / {count}^2",
        (math.fsum(variances) / count**2, ""),
    )


def _type_b(ledger: Ledger, measured: Measured) -> float:
    shared = measured.shared
    u_g = shared.balance_u_g
    masses = ledger.write(
        "Relative variance of the masses",
        "(u / m standard)^2 + (u / m unknown)^2",
        f"({put(u_g)} / {put(measured.standard_mass_g)})^2"
        f" + ({put(u_g)} / {put(measured.unknown_mass_g)})^2",
        (
            (u_g / measured.standard_mass_g) ** 2
            + (u_g / measured.unknown_mass_g) ** 2,
            "",
        ),
    )
    sides = [float(shared.standard_side.total), float(shared.unknown_side.total)]
    return ledger.write(
        "Relative variance of what all tubes share",
        "u_B^2 = masses + both chains' volumes + purity",
        add_up([put(part) for part in (masses, *sides, shared.purity)]),
        (masses + sum(sides) + shared.purity, ""),
        "the tubes' own volumes are in phi and v0 and are not counted again",
    )


def _coverage(ledger: Ledger, line: WeightedLine, own: float, type_b: float) -> float:
    effective = ledger.write(
        "Effective degrees of freedom",
        "veff = df × ((u_cal^2 + u_B^2) / u_cal^2)^2",
        f"{put(line.df)} × (({put(own)} + {put(type_b)}) / ({put(own)}))^2",
        (line.df * ((own + type_b) / own) ** 2, ""),
        "Welch-Satterthwaite formula, JCGM 100:2008, G.4.1",
    )
    return ledger.write(
        "Coverage factor",
        "k = t(95 %, veff), from a table",
        f"t({put(effective)})",
        (float(two_sided_95(np.array([1.0 / effective]))[0]), ""),
    )


def _ends(ledger: Ledger, line: WeightedLine, found: _Found) -> None:
    t = float(two_sided_95(np.array([1.0 / line.df]))[0])
    g = ledger.write(
        "Fieller's g",
        "g = t(95 %, df)^2 × phi / (Sxx × b^2)",
        f"t({put(line.df)})^2 × {put(line.phi)}"
        f" / ({put(line.sum_squares_x)} × {put(line.slope)}^2)",
        (t * t * line.phi / line.sum_squares_x / line.slope**2, ""),
        f"up to {FIELLER_FROM:g} the symmetric interval is as good as his",
    )
    if g > FIELLER_FROM:
        _fieller_ends(ledger, line, found, (t, g))
        return
    iron = found.x * found.to_percent
    for name, sign in (("Lower", "-"), ("Upper", "+")):
        ledger.write(
            f"{name} end of the 95 % interval",
            f"iron {sign} k × u",
            f"{put(iron)} {sign} {put(found.k)} × {put(found.u)}",
            (iron + float(f"{sign}1") * found.k * found.u, "%"),
        )


def _fieller_ends(
    ledger: Ledger, line: WeightedLine, found: _Found, t_and_g: tuple[float, float]
) -> None:
    (t, g), x = t_and_g, found.x
    offset, unit = x - line.mean_x, line.phi / line.slope**2
    leverage = ledger.write(
        "Variance from the slope alone",
        "L = phi / b^2 × (x0 - mean x)^2 / Sxx",
        f"{put(line.phi)} / {put(line.slope)}^2 × ({put(x)} - {put(line.mean_x)})^2"
        f" / ({put(line.sum_squares_x)})",
        (unit * offset**2 / line.sum_squares_x, "(mg/L)^2"),
    )
    rest = found.own * x * x - leverage
    half = ledger.write(
        "Half width by Fieller",
        "h = t / (1 - g) × sqrt((1 - g) × (u_cal^2 × x0^2 - L) + L)",
        f"t({put(line.df)}) / (1 - {put(g)}) × sqrt((1 - {put(g)})"
        f" × ({put(found.own)} × {put(x)}^2 - {put(leverage)}) + {put(leverage)})",
        (t / (1.0 - g) * math.sqrt((1.0 - g) * rest + leverage), "mg/L"),
        "E. C. Fieller, 1954",
    )
    shift = ledger.write(
        "Shift of the middle by Fieller",
        "s = (x0 - mean x) × g / (1 - g)",
        f"({put(x)} - {put(line.mean_x)}) × {put(g)} / (1 - {put(g)})",
        (offset * g / (1.0 - g), "mg/L"),
    )
    for name, sign, side in (("Lower", "-", "-"), ("Upper", "+", "+")):
        one = float(f"{sign}1")
        width = math.hypot(half + one * shift, found.k * x * math.sqrt(found.type_b))
        ledger.write(
            f"{name} end of the 95 % interval",
            f"(x0 {sign} sqrt((h {side} s)^2 + (k × x0)^2 × u_B^2)) × percent per mg/L",
            f"({put(x)} {sign} sqrt(({put(half)} {side} {put(shift)})^2"
            f" + ({put(found.k)} × {put(x)})^2 × {put(found.type_b)}))"
            f" × {put(found.to_percent)}",
            ((x + one * width) * found.to_percent, "%"),
        )
