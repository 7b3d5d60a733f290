"""The check of an interval by drawing: its picture and its verdict in words."""

from collections.abc import Callable
from dataclasses import dataclass

from frontend.axes import Column, Tick, tick, ticks
from frontend.numerals import decimals_for, fixed
from results.explaining import Explanation, MonteCarlo

WIDTH, HEIGHT = 360, 232
_LEFT, _RIGHT, _TOP, _BOTTOM = 12, 348, 72, 196
_HALF_LABEL = 90


@dataclass(frozen=True, slots=True)
class Span:
    """An interval as a labelled line."""

    x1: float
    x2: float
    y: float
    label: str
    label_x: float
    label_y: float


@dataclass(frozen=True, slots=True)
class Histogram:
    """Draws as columns, with the computed and the drawn interval above them."""

    width: int
    height: int
    columns: tuple[Column, ...]
    computed: Span
    drawn: Span
    ticks: tuple[Tick, ...]
    left: float
    right: float
    bottom: float
    description: str


def histogram(computed: Explanation, drawn: MonteCarlo) -> Histogram:
    """Lay out the draws of an answer."""
    low = min(float(drawn.edges[0]), computed.low, drawn.low)
    high = max(float(drawn.edges[-1]), computed.high, drawn.high)

    def x(percent: float) -> float:
        return round(_LEFT + (percent - low) / (high - low) * (_RIGHT - _LEFT), 2)

    ours = interval_in_print(computed.low, computed.high)
    theirs = interval_in_print(drawn.low, drawn.high)
    return Histogram(
        width=WIDTH,
        height=HEIGHT,
        columns=_columns(drawn, x),
        computed=_span(x(computed.low), x(computed.high), 22, f"computed: {ours}"),
        drawn=_span(x(drawn.low), x(drawn.high), 54, f"drawn: {theirs}"),
        ticks=tuple(tick(x(at), at) for at in ticks(low, high)),
        left=_LEFT,
        right=_RIGHT,
        bottom=_BOTTOM,
        description=f"Histogram of {drawn.trials} draws; computed interval {ours}, "
        f"drawn interval {theirs}.",
    )


def interval_in_print(low: float, high: float) -> str:
    """Return an interval of iron contents, to the digits that its width leaves."""
    decimals = decimals_for((high - low) / 2)
    return f"{fixed(low, decimals)} to {fixed(high, decimals)} %"


def verdict(drawn: MonteCarlo) -> str:
    """Return what the comparison of JCGM 101:2008, clause 8, comes to."""
    decimals = decimals_for(drawn.tolerance)
    differ = (
        "The computed ends differ from the drawn ones by "
        f"{fixed(drawn.low_differs, decimals)} and "
        f"{fixed(drawn.high_differs, decimals)} %"
    )
    tolerance = f"{fixed(drawn.tolerance, decimals)} %"
    if drawn.agrees:
        return (
            f"{differ}, no more than the numerical "
            f"tolerance of {tolerance}: the computed interval is validated "
            "(JCGM 101:2008, clause 8)."
        )
    return (
        f"{differ}, and one of them by more than "
        f"the numerical tolerance of {tolerance}: the computed interval is not "
        "validated (JCGM 101:2008, clause 8). The drawn one is the better statement."
    )


def _columns(drawn: MonteCarlo, x: Callable[[float], float]) -> tuple[Column, ...]:
    counts, edges = drawn.counts.tolist(), drawn.edges.tolist()
    most = max(counts) or 1
    found = []
    for count, start, end in zip(counts, edges, edges[1:], strict=False):
        height = round((_BOTTOM - _TOP) * count / most, 2)
        found.append(
            Column(x(start), _BOTTOM - height, round(x(end) - x(start), 2), height)
        )
    return tuple(found)


def _span(x1: float, x2: float, y: float, label: str) -> Span:
    middle = min(max((x1 + x2) / 2, _LEFT + _HALF_LABEL), _RIGHT - _HALF_LABEL)
    return Span(x1, x2, y, label, round(middle, 2), y - 8)
