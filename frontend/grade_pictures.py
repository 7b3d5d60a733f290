"""Grades as pictures: the spread of a section's totals, and points against error."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from frontend.axes import Column, Tick, tick, ticks
from results.policy.marking import Bands, Shape, in_print

WIDTH, HEIGHT = 420, 190
_LEFT, _RIGHT, _TOP, _BOTTOM = 34, 408, 24, 152
_COLUMNS = 20
_HEADROOM = 1.25


@dataclass(frozen=True, slots=True)
class Totals:
    """How many groups got how much."""

    width: int
    height: int
    left: float
    right: float
    bottom: float
    columns: tuple[Column, ...]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    description: str


@dataclass(frozen=True, slots=True)
class Curve:
    """Points against deviation, as a path, with its knots."""

    width: int
    height: int
    left: float
    right: float
    top: float
    bottom: float
    path: str
    knots: tuple[tuple[float, float], ...]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    description: str


def totals_picture(totals: Sequence[Decimal], max_points: Decimal) -> Totals | None:
    """Lay out totals as columns from nothing to the most; None without any."""
    if not totals:
        return None
    most = float(max_points) or 1.0
    counts = [0] * _COLUMNS
    for total in totals:
        counts[min(int(_COLUMNS * float(total) / most), _COLUMNS - 1)] += 1
    step = (_RIGHT - _LEFT) / _COLUMNS
    tall = (_BOTTOM - _TOP) / max(counts)
    middle = median(totals)
    return Totals(
        width=WIDTH,
        height=HEIGHT,
        left=_LEFT,
        right=_RIGHT,
        bottom=_BOTTOM,
        columns=tuple(
            Column(
                round(_LEFT + step * place + 1, 2),
                round(_BOTTOM - tall * count, 2),
                round(step - 2, 2),
                round(tall * count, 2),
            )
            for place, count in enumerate(counts)
            if count
        ),
        x_ticks=tuple(
            tick(round(_LEFT + at / most * (_RIGHT - _LEFT), 2), at)
            for at in ticks(0, most)
        ),
        y_ticks=tuple(
            tick(round(_BOTTOM - tall * at, 2), at)
            for at in ticks(0, max(counts))
            if at == int(at)
        ),
        description=f"{len(totals)} groups from {in_print(min(totals))} to "
        f"{in_print(max(totals))} points, median {in_print(middle)}.",
    )


def bands_picture(bands: Bands, max_points: Decimal) -> Curve:
    """Draw points against the size of the deviation."""
    reach = float(bands.knots[-1].percent) * _HEADROOM or 1.0
    most = float(max_points) or 1.0

    def place(percent: float, points: Decimal) -> tuple[float, float]:
        return (
            round(_LEFT + min(percent / reach, 1) * (_RIGHT - _LEFT), 2),
            round(_BOTTOM - float(points) / most * (_BOTTOM - _TOP), 2),
        )

    corners = [place(percent, points) for percent, points in _corners(bands, reach)]
    return Curve(
        width=WIDTH,
        height=HEIGHT,
        left=_LEFT,
        right=_RIGHT,
        top=_TOP,
        bottom=_BOTTOM,
        path="M" + "L".join(f"{x} {y}" for x, y in corners),
        knots=tuple(place(float(k.percent), k.points) for k in bands.knots),
        x_ticks=tuple(tick(place(at, Decimal(0))[0], at) for at in ticks(0, reach, 8)),
        y_ticks=tuple(
            tick(place(0, Decimal(repr(at)))[1], at) for at in ticks(0, most)
        ),
        description=_in_words(bands),
    )


def _corners(bands: Bands, reach: float) -> Iterable[tuple[float, Decimal]]:
    before = 0.0
    yield before, bands.knots[0].points
    for knot in bands.knots:
        if bands.shape is Shape.STEP:
            # A knot's points hold from the knot before it: straight down, then along.
            yield before, knot.points
        before = float(knot.percent)
        yield before, knot.points
    yield before, bands.beyond
    yield reach, bands.beyond


def _in_words(bands: Bands) -> str:
    told = "; ".join(
        f"to {in_print(k.percent)} %, {in_print(k.points)}" for k in bands.knots
    )
    return (
        f"{bands.shape.label.capitalize()}: {told}; beyond, {in_print(bands.beyond)}."
    )
