"""The calibration line of one answer, step by step."""

import math
from dataclasses import dataclass

from results.science.class_scale import ClassScale
from results.science.ledger import Ledger, add_up, put
from results.science.noise import Meter

K = 1.0 / math.log(10.0)


@dataclass(frozen=True, slots=True)
class Point:
    """One tube: mg/L for a standard, its share of the solution for an unknown."""

    label: str
    content: float
    absorbance: float
    replicates: int
    fill: float
    meter: Meter


@dataclass(frozen=True, slots=True)
class Provisional:
    """The line without weights, which the weights are worked out from."""

    slope: float
    intercept: float


@dataclass(frozen=True, slots=True)
class WeightedLine:
    """The line the unknown is read off."""

    slope: float
    intercept: float
    sum_weights: float
    mean_x: float
    mean_y: float
    sum_squares_x: float
    phi: float
    df: float


def provisional_line(ledger: Ledger, points: list[Point]) -> Provisional:
    """Write down the line without weights."""
    ledger.part = "Provisional line"
    ones = [1.0] * len(points)
    slope, intercept, *_ = _line(ledger, points, ones, "")
    return Provisional(slope, intercept)


def weighted_line(
    ledger: Ledger,
    points: list[Point],
    first: Provisional,
    scale: ClassScale | None,
) -> WeightedLine:
    """Write down the weights, the weighted line and its residual variance."""
    ledger.part = "Weights"
    weights = [_weight(ledger, point, first) for point in points]
    ledger.part = "Weighted line"
    slope, intercept, total, mean_x, mean_y, sum_squares_x = _line(
        ledger, points, weights, "w × "
    )
    ledger.part = "Scatter about the line"
    phi, df = _scatter(ledger, points, weights, (slope, intercept))
    if scale is not None and scale.d0 > 0.0:
        phi, df = _moderated(ledger, (phi, df), scale)
    return WeightedLine(slope, intercept, total, mean_x, mean_y, sum_squares_x, phi, df)


def reading_variance(
    ledger: Ledger, label: str, absorbance: float, meter: Meter
) -> float:
    """Write down the variance of one reading, in absorbance."""
    light = float(meter.light_variance[0])
    constant = float(meter.absorbance_variance[0])
    percent_T = ledger.write(
        f"Transmittance of {label} on the line",
        "T = 100 × 10^(-A)",
        f"100 × 10^(-{put(absorbance)})",
        (100.0 * 10.0**-absorbance, "%T"),
    )
    relative = f"{put(light)} / {put(percent_T)}^2 + {put(meter.light_relative)}^2"
    terms = [f"{put(K)}^2 × ({relative})"]
    value = K * K * (light / percent_T**2 + meter.light_relative**2)
    if constant or meter.absorbance_relative:
        terms.append(
            f"{put(constant)}"
            f" + ({put(meter.absorbance_relative)} × {put(absorbance)})^2"
        )
        value += constant + (meter.absorbance_relative * absorbance) ** 2
    return ledger.write(
        f"Variance of one reading of {label}",
        "v_r = 0.4343^2 × ((s0^2 + step^2 / 12) / T^2 + s1^2)"
        " + the part declared in absorbance",
        add_up(terms),
        (value, ""),
    )


def _weight(ledger: Ledger, point: Point, first: Provisional) -> float:
    absorbance = ledger.write(
        f"Absorbance of {point.label} on the provisional line",
        "A = a0 + b0 × x",
        f"{put(first.intercept)} + {put(first.slope)} × {put(point.content)}",
        (first.intercept + first.slope * point.content, ""),
    )
    reading = reading_variance(ledger, point.label, absorbance, point.meter)
    variance = ledger.write(
        f"Variance of {point.label}",
        "v = v_r / readings + (b0 × x)^2 × r",
        f"{put(reading)} / {point.replicates}"
        f" + ({put(first.slope)} × {put(point.content)})^2 × {put(point.fill)}",
        (
            reading / point.replicates
            + (first.slope * point.content) ** 2 * point.fill,
            "",
        ),
        "reading and filling together: effective variance",
    )
    return ledger.write(
        f"Weight of {point.label}",
        "w = 1 / v",
        f"1 / ({put(variance)})",
        (1.0 / variance, ""),
    )


def _line(
    ledger: Ledger, points: list[Point], weights: list[float], w: str
) -> tuple[float, float, float, float, float, float]:
    """Write down a line; ``w`` is how the weights stand in the formulas."""
    x = [point.content for point in points]
    y = [point.absorbance for point in points]
    named = [f"{put(weight)} × " if w else "" for weight in weights]
    total = ledger.write(
        "Sum of the weights" if w else "Number of points",
        "W = sum of w" if w else "W = n",
        add_up([put(weight) for weight in weights]),
        (math.fsum(weights), ""),
    )

    def mean(letter: str, values: list[float], unit: str) -> float:
        terms = [f"{n}{put(v)}" for n, v in zip(named, values, strict=True)]
        return ledger.write(
            f"Mean of {letter}",
            f"mean {letter} = sum of {w}{letter} / W",
            f"({add_up(terms)}) / {put(total)}",
            (math.fsum(map(_times, weights, values)) / total, unit),
        )

    mean_x, mean_y = mean("x", x, "mg/L"), mean("A", y, "")
    squares = [
        f"{n}({put(v)} - {put(mean_x)})^2" for n, v in zip(named, x, strict=True)
    ]
    sum_squares_x = ledger.write(
        "Sum of squares of x",
        f"Sxx = sum of {w}(x - mean x)^2",
        add_up(squares),
        (math.fsum(k * (v - mean_x) ** 2 for k, v in zip(weights, x, strict=True)), ""),
    )
    rows = list(zip(named, weights, x, y, strict=True))
    products = ledger.write(
        "Sum of products",
        f"Sxy = sum of {w}(x - mean x) × (A - mean A)",
        add_up(
            [
                f"{n}({put(v)} - {put(mean_x)}) × ({put(a)} - {put(mean_y)})"
                for n, _, v, a in rows
            ]
        ),
        (math.fsum(k * (v - mean_x) * (a - mean_y) for _, k, v, a in rows), ""),
    )
    slope = ledger.write(
        "Slope",
        "b = Sxy / Sxx",
        f"({put(products)}) / ({put(sum_squares_x)})",
        (products / sum_squares_x, "L/mg"),
    )
    intercept = ledger.write(
        "Intercept",
        "a = mean A - b × mean x",
        f"{put(mean_y)} - {put(slope)} × {put(mean_x)}",
        (mean_y - slope * mean_x, ""),
    )
    return slope, intercept, total, mean_x, mean_y, sum_squares_x


def _times(weight: float, value: float) -> float:
    return weight * value


def _scatter(
    ledger: Ledger,
    points: list[Point],
    weights: list[float],
    line: tuple[float, float],
) -> tuple[float, float]:
    slope, intercept = line
    squares, df = [], len(points) - 2
    for point, weight in zip(points, weights, strict=True):
        residual = ledger.write(
            f"Distance of {point.label} from the line",
            "d = A - a - b × x",
            f"{put(point.absorbance)} - {put(intercept)}"
            f" - {put(slope)} × {put(point.content)}",
            (point.absorbance - intercept - slope * point.content, ""),
        )
        squares.append((weight, residual))
    phi = ledger.write(
        "Residual variance",
        "phi = sum of w × d^2 / (n - 2)",
        f"({add_up([f'{put(w)} × {put(d)}^2' for w, d in squares])}) / {df}",
        (math.fsum(w * d * d for w, d in squares) / df, ""),
        "1 for a group that scatters as declared",
    )
    return phi, float(df)


def _moderated(
    ledger: Ledger, own: tuple[float, float], scale: ClassScale
) -> tuple[float, float]:
    phi, df = own
    total = ledger.write(
        "Degrees of freedom with the class",
        "df = d0 + n - 2",
        f"{put(scale.d0)} + {put(df)}",
        (scale.d0 + df, ""),
        f"class scale from {scale.n} groups",
    )
    moderated = ledger.write(
        "Residual variance with the class",
        "phi = (d0 × s0^2 + (n - 2) × phi own) / df",
        f"({put(scale.d0)} × {put(scale.s0_sq)} + {put(df)} × {put(phi)})"
        f" / {put(total)}",
        ((scale.d0 * scale.s0_sq + df * phi) / total, ""),
        "G. K. Smyth, 2004",
    )
    return moderated, total
