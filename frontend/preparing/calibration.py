"""The calibration sheet: rulers in mm, and where the labels of a sheet would lie."""

from dataclasses import dataclass

from frontend.preparing.label_layouts import LabelLayout

# Most printers leave no more than this white at the edges of a page.
_EDGE_MM = 10
_LONG, _MIDDLE, _SHORT = 5.0, 3.5, 2.0


@dataclass(frozen=True, slots=True)
class Tick:
    """One mark of a ruler: its place along it, its length, its number if any, mm."""

    at: int
    length: float
    number: str


@dataclass(frozen=True, slots=True)
class Calibration:
    """The drawing, in mm from the page's upper left corner, as texts for a drawing."""

    width: str
    height: str
    across: tuple[Tick, ...]
    down: tuple[Tick, ...]
    outlines: tuple[tuple[str, str, str, str], ...]


def calibration(layout: LabelLayout) -> Calibration:
    """Return the calibration sheet of a layout."""
    return Calibration(
        width=f"{layout.page_width_mm:g}",
        height=f"{layout.page_height_mm:g}",
        # Where both rulers meet, one of them has the word.
        across=_ticks(layout.page_width_mm, numbered_from=20),
        down=_ticks(layout.page_height_mm, numbered_from=30),
        outlines=tuple(
            (
                f"{x:.3f}",
                f"{y:.3f}",
                f"{layout.width_mm:.3f}",
                f"{layout.height_mm:.3f}",
            )
            for x, y in layout.slots()
        ),
    )


def _ticks(length_mm: float, *, numbered_from: int) -> tuple[Tick, ...]:
    last = int(length_mm - _EDGE_MM) // 10 * 10
    return tuple(_tick(at, numbered_from) for at in range(_EDGE_MM, last + 1))


def _tick(at: int, numbered_from: int) -> Tick:
    if at % 10 == 0:
        return Tick(at, _LONG, str(at) if at >= numbered_from else "")
    return Tick(at, _MIDDLE if at % 5 == 0 else _SHORT, "")
