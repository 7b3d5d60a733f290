"""A dilution chain as a drawing for paper: glass, volumes, arrows; sizes in mm."""

from dataclasses import dataclass

from results.policy.language import in_readers_format, tell
from results.summaries.preparing.handout import Chain, ChainTube

WIDTH_MM = 180.0
_TOP_MM, _BOAT_X_MM = 1.0, 12.0
_STEP_MM, _TUBES_Y_MM, _HEIGHT_MM = 58.0, 34.5, 55.5
_MOST_IN_A_ROW = 9
_LARGE, _SMALL = 0.27, 0.2


@dataclass(frozen=True, slots=True)
class Glass:
    """One piece of glass or a boat; places and scale as texts for a drawing.

    Attributes
    ----------
    kind : str
        ``boat`` or ``flask``.
    lines : tuple of str
        What stands below it, the first in bold.
    """

    kind: str
    x: str
    y: str
    scale: str
    text_x: str
    text_y: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Arrow:
    """From one piece to the next: what is taken stands above it, with what below.

    On the way down, `beside` the line.
    """

    path: str
    x: str
    above_y: str
    below_y: str
    above: str
    below: str
    beside: bool = False


@dataclass(frozen=True, slots=True)
class ChainDrawing:
    """The drawing of a chain, and the same in words."""

    width: str
    height: str
    glasses: tuple[Glass, ...]
    arrows: tuple[Arrow, ...]
    said: str


def draw_chain(chain: Chain, name: str, deliveries: dict[str, str]) -> ChainDrawing:
    """Draw a chain: the powder and its flasks in a row, the measured ones below.

    Parameters
    ----------
    name : str
        What is weighed, in the reader's language.
    deliveries : dict
        What volumes are taken with, in the reader's language, by their names.
    """
    pairs = _pairs(chain, deliveries)
    step = min(_STEP_MM, (WIDTH_MM - 2 * _BOAT_X_MM) / max(len(pairs), 1))
    weighed = in_readers_format(f"{chain.mass_g:g} g")
    glasses = [_glass("boat", _BOAT_X_MM, _TOP_MM, _LARGE, (weighed, name))]
    arrows, said = [], [tell("Weigh {mass}: {what}", mass=weighed, what=name)]
    for i, (above, below, make_up) in enumerate(pairs, start=1):
        x = _BOAT_X_MM + i * step
        glasses.append(_glass("flask", x, _TOP_MM, _LARGE, (make_up,)))
        arrows.append(_across(x - step, x, above, below))
        if above:
            said.append(tell("take {volume}, {glass}", volume=above, glass=below))
        said.append(tell("make up to {volume}", volume=make_up))
    last_x = _BOAT_X_MM + len(pairs) * step
    tubes, rows_mm = _tubes(chain.tubes)
    arrows += _down(last_x, chain.tubes, deliveries)
    said += [
        tell(
            "flask {tube}: {take} made up to {full}",
            tube=tube.label,
            take=_mL(tube.take_mL),
            full=_mL(tube.make_up_mL),
        )
        for tube in chain.tubes
    ]
    return ChainDrawing(
        f"{WIDTH_MM:g}",
        f"{_HEIGHT_MM + rows_mm:g}",
        (*glasses, *tubes),
        tuple(arrows),
        "; ".join(said) + ".",
    )


def _pairs(chain: Chain, deliveries: dict[str, str]) -> list[tuple[str, str, str]]:
    """Return for each flask what goes into it, with what, and how far it is filled."""
    pairs: list[tuple[str, str, str]] = []
    above, below = "", ""
    for step in chain.steps:
        if step.take_mL is not None:
            above = _mL(step.take_mL)
            below = deliveries.get(step.delivery, step.delivery)
        elif step.make_up_mL is not None:
            pairs.append((above, below, _mL(step.make_up_mL)))
            above, below = "", ""
    return pairs


def _mL(volume_mL: float) -> str:
    return in_readers_format(f"{volume_mL:g} mL")


def _glass(
    kind: str, x: float, y: float, scale: float, lines: tuple[str, ...]
) -> Glass:
    """Place a piece by the middle of its top; it is 40 × 56 units large."""
    return Glass(
        kind,
        f"{x - 20 * scale:.2f}",
        f"{y:.2f}",
        f"{scale:g}",
        f"{x:.2f}",
        f"{y + 56 * scale + 3.4:.2f}",
        lines,
    )


def _across(x_from: float, x_to: float, above: str, below: str) -> Arrow:
    y = _TOP_MM + 9
    start, end = x_from + 7.5, x_to - 7.5
    path = f"M{start:.2f} {y}H{end:.2f}m-2.2 -1.3l2.2 1.3l-2.2 1.3"
    middle = (start + end) / 2
    return Arrow(path, f"{middle:.2f}", f"{y - 1.8:.2f}", f"{y + 4:.2f}", above, below)


def _down(
    x: float, tubes: tuple[ChainTube, ...], deliveries: dict[str, str]
) -> list[Arrow]:
    """Draw the way from the last flask to the row of measured ones."""
    if not tubes:
        return []
    names = dict.fromkeys(
        deliveries.get(tube.delivery, tube.delivery) for tube in tubes
    )
    top, bottom = _TOP_MM + 20.5, _TUBES_Y_MM - 3.2
    xs = _places(len(tubes[:_MOST_IN_A_ROW]))
    low, high = min(*xs, x), max(*xs, x)
    path = f"M{x:.2f} {top}V{bottom}M{low:.2f} {bottom}H{high:.2f}" + "".join(
        f"M{place:.2f} {bottom}v2.4m-1 -1.4l1 1.4l1 -1.4" for place in xs
    )
    words = ", ".join(name for name in names if name)
    return [
        Arrow(path, f"{x + 2:.2f}", "0", f"{bottom - 3:.2f}", "", words, beside=True)
    ]


def _places(n: int) -> list[float]:
    """Return the middles of n pieces in a row."""
    return [WIDTH_MM * (i + 0.5) / n for i in range(n)]


def _tubes(tubes: tuple[ChainTube, ...]) -> tuple[list[Glass], float]:
    """Return the measured flasks, and how much the rows after the first add, mm."""
    glasses = []
    row_mm = 25.0
    for i, tube in enumerate(tubes):
        row, column = divmod(i, _MOST_IN_A_ROW)
        places = _places(min(len(tubes) - row * _MOST_IN_A_ROW, _MOST_IN_A_ROW))
        lines = (
            tell("flask {tube}", tube=tube.label),
            f"{_mL(tube.take_mL)} → {_mL(tube.make_up_mL)}",
        )
        y = _TUBES_Y_MM + row * row_mm
        glasses.append(_glass("flask", places[column], y, _SMALL, lines))
    extra_rows = max(-(-len(tubes) // _MOST_IN_A_ROW) - 1, 0)
    return glasses, extra_rows * row_mm
