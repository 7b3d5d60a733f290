"""Where standards and unknown land on the expected line, and how well they read."""

import math
from dataclasses import dataclass

from frontend.axes import Tick, tick, ticks
from frontend.numerals import significant
from frontend.pictures import tint
from results.summaries.preparing.protocol_look import ProtocolLook, Reads

WIDTH, HEIGHT = 420, 400
_LEFT, _RIGHT = 46, 408
_TOP, _MIDDLE = 24, 210
_BELOW, _BOTTOM = 250, 352
_MOST_ERROR = 0.2


@dataclass(frozen=True, slots=True)
class Spot:
    """One tube on a panel; `tag` is written beside it."""

    x: float
    y: float
    tint: int
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Landing:
    """Everything a template needs: the line above, the error of a reading below."""

    width: int
    height: int
    left: float
    right: float
    top: float
    middle: float
    below: float
    bottom: float
    line: str
    curve: str
    standards: tuple[Spot, ...]
    unknowns: tuple[Spot, ...]
    errors: tuple[Spot, ...]
    band_x: float
    band_width: float
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    error_ticks: tuple[Tick, ...]
    description: str


def landing(look: ProtocolLook) -> Landing:
    """Lay out the picture."""
    return _Plane(look).drawn()


class _Plane:
    def __init__(self, look: ProtocolLook) -> None:
        self._look = look
        self._reach = look.along[-1]
        errors = [one.relative_sd for one in look.along]
        errors += [one.reads.relative_sd for one in look.contents]
        least = min(errors)
        # Beyond some times the best, only the direction matters.
        self._most = min(max(_MOST_ERROR / 4, 6 * least), _MOST_ERROR)
        if self._most < least:
            self._most = 2 * least

    def _x(self, mg_L: float) -> float:
        return round(_LEFT + mg_L / self._reach.mg_L * (_RIGHT - _LEFT), 2)

    def _y(self, absorbance: float) -> float:
        return round(
            _MIDDLE - absorbance / self._reach.absorbance * (_MIDDLE - _TOP), 2
        )

    def _error_y(self, relative_sd: float) -> float:
        share = min(relative_sd / self._most, 1.0) if math.isfinite(relative_sd) else 1
        return round(_BOTTOM - share * (_BOTTOM - _BELOW), 2)

    def drawn(self) -> Landing:
        look = self._look
        low = min(one.reads.mg_L for one in look.contents)
        high = max(one.reads.mg_L for one in look.contents)
        return Landing(
            width=WIDTH,
            height=HEIGHT,
            left=_LEFT,
            right=_RIGHT,
            top=_TOP,
            middle=_MIDDLE,
            below=_BELOW,
            bottom=_BOTTOM,
            line=f"M{_LEFT} {_MIDDLE}L{_RIGHT} {self._y(self._reach.absorbance)}",
            curve=self._curve(),
            standards=tuple(self._spot(one.reads, one.tube) for one in look.standards),
            unknowns=tuple(self._spot(one.reads) for one in look.contents),
            errors=tuple(
                self._error_spot(one.reads)
                for one in look.standards
                if math.isfinite(one.reads.relative_sd)
            ),
            band_x=self._x(low),
            band_width=round(max(self._x(high) - self._x(low), 2.0), 2),
            x_ticks=tuple(
                tick(self._x(at), at) for at in ticks(0, self._reach.mg_L, 6)
            ),
            y_ticks=tuple(
                tick(self._y(at), at) for at in ticks(0, self._reach.absorbance)
            ),
            error_ticks=tuple(
                tick(self._error_y(at / 100), at)
                for at in ticks(0, 100 * self._most, 4)
            ),
            description=self._in_words(low, high),
        )

    def _curve(self) -> str:
        shown = [one for one in self._look.along if one.relative_sd <= self._most]
        places = (f"{self._x(o.mg_L)} {self._error_y(o.relative_sd)}" for o in shown)
        return "M" + "L".join(places) if shown else ""

    def _shade(self, mg_L: float) -> int:
        strongest = max(one.mg_L_high for one in self._look.standards)
        return tint(mg_L / strongest) if strongest else 1

    def _spot(self, reads: Reads, tag: str = "") -> Spot:
        x, y = self._x(reads.mg_L), self._y(reads.absorbance)
        return Spot(x, y, self._shade(reads.mg_L), tag)

    def _error_spot(self, reads: Reads) -> Spot:
        y = self._error_y(reads.relative_sd)
        return Spot(self._x(reads.mg_L), y, self._shade(reads.mg_L))

    def _in_words(self, low: float, high: float) -> str:
        look = self._look
        weak = min(one.mg_L_low for one in look.standards)
        strong = max(one.mg_L_high for one in look.standards)
        best = min(look.along, key=lambda one: one.relative_sd)
        return (
            f"Standards from {significant(weak, 3)} to {significant(strong, 3)} mg/L; "
            f"the unknown lands between {significant(low, 3)} and "
            f"{significant(high, 3)} mg/L. One reading tells a concentration best, to "
            f"{significant(100 * best.relative_sd, 2)} %, at "
            f"{significant(best.mg_L, 3)} mg/L ({best.percent_T:.0f} %T)."
        )
