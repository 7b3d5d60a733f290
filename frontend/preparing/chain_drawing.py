"""A chain of flasks laid out from top to bottom: places, arrows, tints, words."""

from collections.abc import Sequence
from dataclasses import dataclass

from frontend.numerals import lowered, significant
from frontend.pictures import tint
from results.summaries.preparing.protocol_look import (
    FlaskLook,
    ProtocolLook,
    TubeLook,
)

WIDTH = 360
_HEAP, _ARROW, _FLASK, _TUBE = 56, 40, 64, 30


@dataclass(frozen=True, slots=True)
class Vessel:
    """One vessel, from its upper edge.

    Attributes
    ----------
    kind : str
        ``heap``, ``flask`` or ``tube``.
    tint : int
        1 for the palest solution to 6 for the deepest; 0 for none.
    name, holds, aside : str
        What it is, what it holds, and what else is said of it.
    """

    kind: str
    y: int
    tint: int
    name: str
    holds: str
    aside: str = ""


@dataclass(frozen=True, slots=True)
class Arrow:
    """What is done between two vessels; `ratio` is the dilution, where it is one."""

    y: int
    label: str
    ratio: str = ""


@dataclass(frozen=True, slots=True)
class ChainDrawing:
    """Everything a template needs to draw one chain."""

    title: str
    width: int
    height: int
    vessels: tuple[Vessel, ...]
    arrows: tuple[Arrow, ...]
    bracket_top: int
    bracket_bottom: int
    description: str


def chain_drawings(look: ProtocolLook) -> tuple[ChainDrawing, ChainDrawing]:
    """Draw the standard's chain and the unknown's, on one scale of tints.

    The strongest standard is the deepest tint, as it is on the bench sheet; what is
    stronger still, a stock, is as deep.
    """
    strongest = max((tube.mg_L_high for tube in look.standards), default=0.0)
    salt = f"{look.standard_mass_g:g} g"
    powder = f"about {look.unknown_mass_g:g} g"
    return (
        _draw(
            "Standards",
            Vessel("heap", 0, 0, salt, lowered(look.formula)),
            look.standard_flasks,
            look.standards,
            strongest,
        ),
        _draw(
            "Unknown",
            Vessel("heap", 0, 0, powder, f"unknown, {_percents(look)} % iron"),
            look.unknown_flasks,
            look.unknown_tubes,
            strongest,
        ),
    )


def _percents(look: ProtocolLook) -> str:
    percents = sorted(one.iron_percent for one in look.contents)
    return _span(percents[0], percents[-1])


def _span(low: float, high: float) -> str:
    """Return three digits of a number, or of two ends that differ in them."""
    ends = significant(low, 3), significant(high, 3)
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def _draw(
    title: str,
    heap: Vessel,
    flasks: Sequence[FlaskLook],
    tubes: Sequence[TubeLook],
    strongest: float,
) -> ChainDrawing:
    vessels, arrows, y = [heap], [], _HEAP
    for flask in flasks:
        arrows.append(_arrow(y, flask))
        y += _ARROW
        vessels.append(
            Vessel(
                "flask",
                y,
                _shade((flask.mg_L_low + flask.mg_L_high) / 2, strongest),
                f"{flask.make_up_mL:g} mL",
                f"{_span(flask.mg_L_low, flask.mg_L_high)} mg/L",
            )
        )
        y += _FLASK
    arrows.append(Arrow(y, "a part into each tube, with the reagents"))
    top = y = y + _ARROW
    for tube in tubes:
        vessels.append(_tube(y, tube, strongest))
        y += _TUBE
    return ChainDrawing(
        title=title,
        width=WIDTH,
        height=y + 4,
        vessels=tuple(vessels),
        arrows=tuple(arrows),
        bracket_top=top,
        bracket_bottom=y,
        description=_in_words(title, vessels, arrows),
    )


def _shade(mg_L: float, strongest: float) -> int:
    return tint(mg_L / strongest) if strongest > 0 and mg_L > 0 else 0


def _arrow(y: int, flask: FlaskLook) -> Arrow:
    if flask.take_mL is None:
        return Arrow(y, f"dissolve, make up to {flask.make_up_mL:g} mL")
    ratio = significant(flask.ratio, 4)
    return Arrow(y, f"take {flask.take_mL:g} mL, {flask.delivery}", f"1 : {ratio}")


def _tube(y: int, tube: TubeLook, strongest: float) -> Vessel:
    return Vessel(
        "tube",
        y,
        _shade((tube.mg_L_low + tube.mg_L_high) / 2, strongest),
        tube.tube,
        f"{_span(tube.mg_L_low, tube.mg_L_high)} mg/L",
        f"{tube.take_mL:g} mL to {tube.make_up_mL:g} mL",
    )


def _in_words(title: str, vessels: Sequence[Vessel], arrows: Sequence[Arrow]) -> str:
    chain = [one for one in vessels if one.kind != "tube"]
    tubes = [one for one in vessels if one.kind == "tube"]
    told = [f"{title}: {chain[0].name} {chain[0].holds}"]
    told += [
        f"{arrow.label} {flask.name}, {flask.holds}"
        if arrow.ratio
        else f"{arrow.label}, {flask.holds}"
        for arrow, flask in zip(arrows, chain[1:], strict=False)
    ]
    told += [f"tube {one.name}: {one.aside}, {one.holds}" for one in tubes]
    return "; ".join(told) + "."
