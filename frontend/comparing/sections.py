"""The page of sections, laid out: errors side by side, and where each worked."""

from collections.abc import Sequence
from dataclasses import dataclass

from frontend.comparing.drawing import Figure
from frontend.comparing.headlines import claims_of_section, sections_headline
from frontend.comparing.map import map_figure
from frontend.comparing.rows import Printed, printed, signed
from frontend.comparing.spreads import spreads_figure
from frontend.numerals import fixed
from results.summaries.effects import EffectLine, SectionEffects, SectionsSummary
from results.summaries.effects.sections import MapCell

#: Cells that the table beside the map holds, furthest off first.
MOST_CELLS = 60
_NOTHING = "–"


@dataclass(frozen=True, slots=True)
class SectionRow:
    """One section in print, percent of the assigned value."""

    line: SectionEffects
    n: int
    middle_half: str
    most: str
    recovery: Printed
    slope: Printed
    h: str
    k: str


@dataclass(frozen=True, slots=True)
class CellRow:
    """A section at a station in print."""

    cell: MapCell
    error: str
    slope: str


@dataclass(frozen=True, slots=True)
class SectionLook:
    """One section that stands out."""

    line: SectionEffects
    claims: tuple[EffectLine, ...]


@dataclass(frozen=True, slots=True)
class SectionsPage:
    """Everything on the page.

    Attributes
    ----------
    shows : str
        What the map shows, "error" or "slope".
    n_cells : int
        Cells of the map; the table holds those that are furthest off.
    """

    headline: str
    looks: tuple[SectionLook, ...]
    rows: tuple[SectionRow, ...]
    spreads: Figure | None
    shows: str
    map: Figure | None
    cells: tuple[CellRow, ...]
    n_cells: int


def sections_page(summary: SectionsSummary, *, shows: str = "error") -> SectionsPage:
    """Lay the sections out; the map shows errors unless slopes are asked for."""
    shows = "slope" if shows == "slope" else "error"
    known = [cell for cell in summary.cells if _of(cell, shows) is not None]
    known.sort(key=lambda cell: -abs(_of(cell, shows) or 0))
    return SectionsPage(
        headline=sections_headline(summary),
        looks=tuple(
            SectionLook(one, tuple(claims))
            for one in summary.sections
            if (claims := claims_of_section(one))
        ),
        rows=tuple(_row(one) for one in summary.sections),
        spreads=spreads_figure(in_order(summary.sections)),
        shows=shows,
        map=map_figure(summary.cells, shows),
        cells=tuple(
            CellRow(cell, _signed(cell.error), _signed(cell.slope))
            for cell in known[:MOST_CELLS]
        ),
        n_cells=len(known),
    )


def in_order(sections: Sequence[SectionEffects]) -> list[SectionEffects]:
    """Return sections as they are drawn: those that stand out most on top."""
    return sorted(
        sections,
        key=lambda one: -abs(one.recovery.z) if one.recovery else 0.0,
    )


def _of(cell: MapCell, shows: str) -> float | None:
    return cell.slope if shows == "slope" else cell.error


def _row(one: SectionEffects) -> SectionRow:
    errors, found = one.errors, one.consistency
    return SectionRow(
        line=one,
        n=errors.n if errors else 0,
        middle_half=_NOTHING
        if errors is None
        else f"{signed(errors.p25)} to {signed(errors.p75)}",
        most=_NOTHING
        if errors is None
        else f"{signed(errors.p10)} to {signed(errors.p90)}",
        recovery=printed(one.recovery),
        slope=printed(one.slope),
        h=_scored(found.h, found.h_limit) if found else _NOTHING,
        k=_scored(found.k, found.k_limit) if found else _NOTHING,
    )


def _scored(value: float | None, limit: float | None) -> str:
    if value is None:
        return _NOTHING
    beyond = limit is not None and abs(value) > limit
    return f"{fixed(value, 2)}{' beyond' if beyond else ''}"


def _signed(value: float | None) -> str:
    return _NOTHING if value is None else signed(value)
