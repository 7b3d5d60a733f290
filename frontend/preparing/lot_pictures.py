"""What is known of a lot, drawn: records on one scale, and vials side by side."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from frontend.axes import Tick, tick, ticks
from frontend.numerals import with_uncertainty
from results.summaries.preparing.lots import LotSheet, RecordLine, VialsChecked

WIDTH = 360
_LEFT, _RIGHT, _ROW, _TOP = 14, 346, 46, 4
_VIAL_LEFT, _VIAL_ROW = 84, 24
_FOOT = 40


@dataclass(frozen=True, slots=True)
class Spot:
    """One result; `aside` if a person set it aside, `odd` if it lies far out."""

    x: float
    aside: bool
    odd: bool
    cross: str


@dataclass(frozen=True, slots=True)
class Strip:
    """One record on its line: dots, the value, and its interval."""

    title: str
    title_y: float
    y: float
    spots: tuple[Spot, ...]
    diamond: str
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class ContentPicture:
    """Records of one lot on one scale of iron contents."""

    width: int
    height: int
    strips: tuple[Strip, ...]
    ticks: tuple[Tick, ...]
    floor: float
    description: str


@dataclass(frozen=True, slots=True)
class VialStrip:
    """One vial on its line: its results and their mean."""

    vial: str
    y: float
    top: float
    bottom: float
    spots: tuple[Spot, ...]
    mean: float


@dataclass(frozen=True, slots=True)
class VialsPicture:
    """Vials side by side, with what they may differ by."""

    width: int
    height: int
    left: float
    strips: tuple[VialStrip, ...]
    ticks: tuple[Tick, ...]
    floor: float
    mean: float
    band_x: float
    band_width: float
    description: str


def content_picture(sheet: LotSheet) -> ContentPicture | None:
    """Draw the records that stand and the value now; None without any record."""
    if not sheet.standing:
        return None
    found = [_of_record(one) for one in sheet.standing]
    if sheet.history.values:
        now = sheet.history.values[0]
        said = with_uncertainty(now.iron_percent, 2 * now.u_iron_percent)
        title = f"assigned: {said} %"
        found.append((title, (), now.iron_percent, 2 * now.u_iron_percent))
    ends = [
        end
        for _, spots, value, half in found
        for end in (value - half, value + half, *(x for x, *_ in spots))
    ]
    x, low, high = _scale(ends, _LEFT)
    strips = tuple(_strip(place, one, x) for place, one in enumerate(found))
    floor = _TOP + _ROW * len(strips)
    return ContentPicture(
        width=WIDTH,
        height=floor + _FOOT,
        strips=strips,
        ticks=tuple(tick(x(at), at) for at in ticks(low, high)),
        floor=floor,
        description="; ".join(title for title, *_ in found) + ".",
    )


_Found = tuple[str, tuple[tuple[float, bool, bool], ...], float, float]


def _of_record(line: RecordLine) -> _Found:
    """Return a record's title, results, value and half interval."""
    assayed = line.assayed
    assert assayed is not None  # noqa: S101 - records that stand have a value
    half = assayed.estimated.expanded
    is_known = math.isfinite(half)
    is_odd = assayed.test is not None and assayed.test.standing != "usual"
    spots = tuple(
        (value, bool(row.set_aside), is_odd and place == assayed.furthest)
        for place, (value, row) in enumerate(
            zip(assayed.results, line.record.rows, strict=True)
        )
    )
    value = assayed.estimated.value
    said = with_uncertainty(value, half) if half > 0 else f"{value:g}"
    title = f"{line.kind.label.split(',')[0]}: {said} %"
    return title, spots, value, half if is_known else 0.0


def _strip(place: int, found: _Found, x: Callable[[float], float]) -> Strip:
    title, spots, value, half = found
    y = _TOP + _ROW * place + 30
    at = x(value)
    return Strip(
        title=title,
        title_y=_TOP + _ROW * place + 13,
        y=y,
        spots=tuple(
            _spot(x(one), y, aside=aside, odd=odd) for one, aside, odd in spots
        ),
        diamond=f"{at},{y - 6} {at + 6},{y} {at},{y + 6} {at - 6},{y}",
        low=x(value - half) if half else None,
        high=x(value + half) if half else None,
    )


def vials_picture(checked: VialsChecked) -> VialsPicture:
    """Draw the vials of a check side by side."""
    by_vial: dict[str, list[tuple[float, bool]]] = {}
    for value, row in zip(checked.assayed.results, checked.record.rows, strict=True):
        if row.vial:
            by_vial.setdefault(row.vial, []).append((value, bool(row.set_aside)))
    found = checked.found
    every = [value for results in by_vial.values() for value, _ in results]
    edges = (found.mean - found.allowed, found.mean + found.allowed)
    x, low, high = _scale([*every, *edges], _VIAL_LEFT)
    floor = _TOP + _VIAL_ROW * len(by_vial)
    return VialsPicture(
        width=WIDTH,
        height=floor + _FOOT,
        left=_VIAL_LEFT,
        strips=tuple(
            _vial_strip(place, vial, results, x)
            for place, (vial, results) in enumerate(by_vial.items())
        ),
        ticks=tuple(tick(x(at), at) for at in ticks(low, high, 4)),
        floor=floor,
        mean=x(found.mean),
        band_x=x(edges[0]),
        band_width=round(x(edges[1]) - x(edges[0]), 2),
        description=f"{len(by_vial)} vials, {len(every)} results, with the band that "
        "vials may differ by.",
    )


def _vial_strip(
    place: int,
    vial: str,
    results: Sequence[tuple[float, bool]],
    x: Callable[[float], float],
) -> VialStrip:
    y = _TOP + _VIAL_ROW * (place + 0.5)
    return VialStrip(
        vial=vial,
        y=y,
        top=y - 8,
        bottom=y + 8,
        spots=tuple(
            _spot(x(value), y, aside=aside, odd=False) for value, aside in results
        ),
        mean=x(_mean(results)),
    )


def _spot(x: float, y: float, *, aside: bool, odd: bool) -> Spot:
    return Spot(x, aside, odd, f"M{round(x - 4, 2)} {y - 4}l8 8m0 -8l-8 8")


def _mean(results: Sequence[tuple[float, bool]]) -> float:
    counted = [value for value, aside in results if not aside] or [results[0][0]]
    return sum(counted) / len(counted)


def _scale(
    values: Sequence[float], left: float
) -> tuple[Callable[[float], float], float, float]:
    """Return where a content is drawn, and the ends of the scale."""
    low, high = min(values), max(values)
    # One value alone still needs a scale around it.
    room = 0.06 * (high - low) or 0.01 * abs(high) or 1.0
    low, high = low - room, high + room

    def x(value: float) -> float:
        return round(left + (value - low) / (high - low) * (_RIGHT - left), 2)

    return x, low, high
