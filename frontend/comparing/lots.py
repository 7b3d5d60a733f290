"""The page of lots, laid out: the assigned beside the class's value."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from frontend.comparing.drawing import (
    BLUE,
    GREY,
    MOST_ROWS,
    ROW_PX,
    Figure,
    at,
    finished,
)
from frontend.comparing.headlines import is_claim, lots_headline
from frontend.comparing.rows import Printed, printed
from frontend.numerals import fixed, with_uncertainty
from results.summaries.effects import EffectLine, LotLine, LotsSummary

# Assigned and found stand a little apart, so that neither hides the other.
_APART = 0.16
#: Expanded uncertainties are twice the standard ones (JCGM 100, k = 2).
_K = 2


@dataclass(frozen=True, slots=True)
class LotRow:
    """One lot in print; iron contents in % by mass."""

    line: LotLine
    assigned: str
    found: str
    spread: str
    zeta: str
    effect: Printed


@dataclass(frozen=True, slots=True)
class LotLook:
    """One lot that asks for something."""

    line: LotLine
    claims: tuple[EffectLine, ...]


@dataclass(frozen=True, slots=True)
class LotsPage:
    """Everything on the page."""

    headline: str
    looks: tuple[LotLook, ...]
    rows: tuple[LotRow, ...]
    usual_spread: str
    figure: Figure | None


def lots_page(summary: LotsSummary) -> LotsPage:
    """Lay the lots out."""
    usual = next((one.usual_spread_percent for one in summary.lots), None)
    return LotsPage(
        headline=lots_headline(summary),
        looks=tuple(
            LotLook(one, _claims(one))
            for one in summary.lots
            if one.proposals or _claims(one)
        ),
        rows=tuple(_row(one) for one in summary.lots),
        usual_spread="" if usual is None else fixed(usual, 1),
        figure=lots_figure(summary.lots),
    )


def lots_figure(
    lots: Sequence[LotLine], *, most: int = MOST_ROWS, row_px: int = ROW_PX
) -> Figure | None:
    """Return the class's values around the assigned; None if nothing was found.

    Both with expanded uncertainties (k = 2), in percent of the assigned value, so
    that lots of any iron content share one scale.
    """
    known = [one for one in lots if one.assigned_percent and one.found_percent]
    drawn = known[:most]
    if not drawn:
        return None
    assigned: list[tuple[float, float | None]] = []
    found: list[tuple[float, float | None]] = []
    for one in drawn:
        value, hundredth = one.assigned_percent or 1, (one.assigned_percent or 1) / 100
        u = one.u_assigned_percent
        assigned.append((0, None if u is None else _K * u / hundredth))
        off = ((one.found_percent or value) - value) / hundredth
        found.append((off, _K * (one.u_found_percent or 0) / hundredth))
    axis = "percent from the assigned value"
    if len(known) > len(drawn):
        axis += f"<br>{len(known) - len(drawn)} more in the table"
    return finished(
        [
            _marks("assigned", assigned, -_APART, "square-open", GREY, drawn),
            _marks("found by the class", found, _APART, "diamond", BLUE, drawn),
        ],
        {
            "xaxis": {"title": {"text": axis}, "nticks": 6},
            "yaxis": {
                "tickmode": "array",
                "tickvals": list(range(len(drawn))),
                "ticktext": [one.lot for one in drawn],
                "range": [len(drawn) - 0.5, -0.5],
                "automargin": True,
                "showgrid": False,
            },
            "shapes": [at(0)],
        },
        height=136 + (row_px + 8) * max(len(drawn), 2),
    )


def _marks(
    name: str,
    marks: Sequence[tuple[float, float | None]],
    offset: float,
    symbol: str,
    colour: str,
    lots: Sequence[LotLine],
) -> dict[str, Any]:
    return {
        "type": "scatter",
        "x": [round(value, 4) for value, _ in marks],
        "y": [index + offset for index in range(len(marks))],
        "error_x": {
            "type": "data",
            "array": [round(half or 0, 4) for _, half in marks],
            "thickness": 2,
            "width": 3,
        },
        "customdata": [[one.lot, one.n] for one in lots],
        "mode": "markers",
        "name": name,
        "marker": {"color": colour, "symbol": symbol, "size": 10},
        "hovertemplate": f"%{{customdata[0]}}, {name}: %{{x:+.2f}} %, "
        "%{customdata[1]} groups<extra></extra>",
    }


def _claims(one: LotLine) -> tuple[EffectLine, ...]:
    return (one.effect,) if one.effect and is_claim(one.effect) else ()


def _row(one: LotLine) -> LotRow:
    return LotRow(
        line=one,
        assigned=_value(one.assigned_percent, one.u_assigned_percent),
        found=_value(one.found_percent, one.u_found_percent),
        spread="–" if one.spread_percent is None else fixed(one.spread_percent, 1),
        zeta="–" if one.zeta is None else fixed(one.zeta, 1),
        effect=printed(one.effect),
    )


def _value(value: float | None, u: float | None) -> str:
    if value is None:
        return "–"
    return with_uncertainty(value, _K * u) if u else f"{value:g}"
