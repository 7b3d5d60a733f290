"""A line's numbers turned into places on paper; templates draw what stands here."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import median

from frontend.axes import Tick, tick, ticks
from results.policy.language import tell
from results.summaries.lines import LinePicture, LineWithout, Point

N_TINTS = 6
_HEADROOM = 1.06
# One impossible reading must not squash the pictures of all other groups.
_MOST_OF_MIDDLE = 1.6
_ONE_SPOT = 14.0
# Less than any meter tells from nothing.
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Frame:
    """Size of a picture and of the margins in which its axes are labelled."""

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float


TILE = Frame(width=176, height=112, left=6, right=6, top=6, bottom=6)
PLATE = Frame(width=360, height=260, left=46, right=12, top=24, bottom=40)


@dataclass(frozen=True, slots=True)
class Extent:
    """The part of the plane that pictures show: mg/L across, absorbance up."""

    mg_L: float
    absorbance_low: float
    absorbance_high: float


@dataclass(frozen=True, slots=True)
class Dot:
    """One tube.

    Attributes
    ----------
    tint : int
        1 for the palest solution to 6 for the deepest.
    is_beyond : bool
        Whether the tube lies outside the picture and is drawn at its edge.
    tag : str
        What is written beside the dot; dots on one spot share the first one's.
    """

    x: float
    y: float
    tube: str
    kind: str
    tint: int
    is_suspect: bool
    is_beyond: bool
    tag: str
    label_x: float
    label_y: float
    label_anchor: str
    diamond: str


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight piece of line."""

    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything a template needs to draw one line."""

    frame: Frame
    plot_right: float
    plot_bottom: float
    dots: tuple[Dot, ...]
    segment: Segment | None
    without: Segment | None
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    description: str


def tint(share: float) -> int:
    """Return the shade of a concentration, given as a share of the strongest.

    Examples
    --------
    >>> tint(0.05), tint(0.5), tint(1.0)
    (1, 4, 6)
    """
    return 1 + min(max(int(share * N_TINTS), 0), N_TINTS - 1)


def common_extent(lines: Iterable[LinePicture | None]) -> Extent:
    """Return one scale on which several lines can be compared."""
    drawn = [line for line in lines if line is not None and line.points]
    if not drawn:
        return Extent(1.0, 0.0, 1.0)
    across = [
        max((p.mg_L or 0 for p in line.points if p.kind == "standard"), default=0)
        for line in drawn
    ]
    up = [max(p.absorbance for p in line.points) for line in drawn]
    low = min(min(p.absorbance for p in line.points) for line in drawn)
    return Extent(
        _reach(across),
        min(0.0, max(low, -0.1 * _reach(up))),
        _reach(up),
    )


def _reach(values: Sequence[float]) -> float:
    reach = min(max(values), _MOST_OF_MIDDLE * median(values)) * _HEADROOM
    return reach if reach > _NOTHING else 1.0


def draw(line: LinePicture, extent: Extent, frame: Frame = TILE) -> Drawing:
    """Return the places of a line's dots, its line and its ticks."""
    plane = _Plane(extent, frame)
    suspects = suspect_tubes(line)
    dots = tuple(
        plane.dot(point, point.tube in suspects)
        for point in line.points
        if point.mg_L is not None
    )
    return Drawing(
        frame=frame,
        plot_right=frame.width - frame.right,
        plot_bottom=frame.height - frame.bottom,
        dots=_share_tags(dots),
        segment=plane.segment(line),
        without=plane.segment(line.without),
        x_ticks=tuple(tick(plane.x(value), value) for value in ticks(0, extent.mg_L)),
        y_ticks=tuple(
            tick(plane.y(value), value)
            for value in ticks(extent.absorbance_low, extent.absorbance_high)
        ),
        description=describe(line),
    )


def _share_tags(dots: Iterable[Dot]) -> tuple[Dot, ...]:
    shared: list[Dot] = []
    for dot in dots:
        near = next(
            (i for i, other in enumerate(shared) if _on_one_spot(dot, other)), None
        )
        if near is None:
            shared.append(dot)
        else:
            first = shared[near]
            shared[near] = replace(first, tag=f"{first.tag}, {dot.tube}")
            shared.append(replace(dot, tag=""))
    return tuple(shared)


def _on_one_spot(dot: Dot, other: Dot) -> bool:
    return (
        dot.kind == other.kind
        and bool(other.tag)
        and math.hypot(dot.x - other.x, dot.y - other.y) < _ONE_SPOT
    )


def suspect_tubes(line: LinePicture) -> frozenset[str]:
    """Return every tube that a finding names; one of a pair names both.

    Examples
    --------
    >>> sorted(suspect_tubes(LinePicture((), None, None, None, ("2, 3", "U1"))))
    ['2', '3', 'U1']
    """
    return frozenset(
        tube.strip() for named in line.suspect_tubes for tube in named.split(",")
    )


def describe(line: LinePicture) -> str:
    """Return what the picture shows, in words."""
    standards = sum(point.kind == "standard" for point in line.points)
    unknowns = len(line.points) - standards
    words = [
        tell(
            "{standards} standards and {unknowns} unknown tubes",
            standards=standards,
            unknowns=unknowns,
        )
    ]
    if line.slope is not None and line.intercept is not None:
        words.append(
            tell(
                "line with slope {slope:.4f} L/mg and intercept {intercept:.4f}",
                slope=line.slope,
                intercept=line.intercept,
            )
        )
    if line.suspect_tubes:
        words.append(tell("tube {tubes} ringed", tubes=", ".join(line.suspect_tubes)))
    if line.without is not None:
        words.append(
            tell(
                "dashed line without tube {tube}, slope {slope:.4f} L/mg and "
                "intercept {intercept:.4f}",
                tube=line.without.tube,
                slope=line.without.slope,
                intercept=line.without.intercept,
            )
        )
    return "; ".join(words) + "."


class _Plane:
    """Places concentrations and absorbances on paper."""

    def __init__(self, extent: Extent, frame: Frame) -> None:
        self.extent = extent
        self.frame = frame
        self.across = (frame.width - frame.left - frame.right) / extent.mg_L
        self.up = (frame.height - frame.top - frame.bottom) / (
            extent.absorbance_high - extent.absorbance_low
        )

    def x(self, mg_L: float) -> float:
        return round(self.frame.left + mg_L * self.across, 2)

    def y(self, absorbance: float) -> float:
        floor = self.frame.height - self.frame.bottom
        return round(floor - (absorbance - self.extent.absorbance_low) * self.up, 2)

    def dot(self, point: Point, is_suspect: bool) -> Dot:  # noqa: FBT001
        mg_L = point.mg_L or 0.0
        inside_mg_L = min(max(mg_L, 0.0), self.extent.mg_L)
        inside_a = min(
            max(point.absorbance, self.extent.absorbance_low),
            self.extent.absorbance_high,
        )
        x, y = self.x(inside_mg_L), self.y(inside_a)
        share = inside_mg_L / self.extent.mg_L
        return Dot(
            x=x,
            y=y,
            tube=point.tube,
            kind=point.kind,
            tint=tint(share),
            is_suspect=is_suspect,
            is_beyond=(inside_mg_L, inside_a) != (mg_L, point.absorbance),
            tag=point.tube,
            # Standards are named below the line, unknown tubes above it.
            label_x=x + 8 if point.kind == "standard" else x - 9,
            label_y=y + 14 if point.kind == "standard" else y - 7,
            label_anchor="start" if point.kind == "standard" else "end",
            diamond=f"{x},{y - 5} {x + 5},{y} {x},{y + 5} {x - 5},{y}",
        )

    def segment(self, line: LinePicture | LineWithout | None) -> Segment | None:
        if line is None or line.slope is None or line.intercept is None:
            return None
        ends = clip_line(line.slope, line.intercept, self.extent)
        if ends is None:
            return None
        (x1, y1), (x2, y2) = ends
        return Segment(self.x(x1), self.y(y1), self.x(x2), self.y(y2))


def clip_line(
    slope: float, intercept: float, extent: Extent
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Return the ends of a line inside the picture; None if it passes by it."""
    low, high = 0.0, extent.mg_L
    if slope != 0:
        edges = sorted(
            (edge - intercept) / slope
            for edge in (extent.absorbance_low, extent.absorbance_high)
        )
        low, high = max(low, edges[0]), min(high, edges[1])
    elif not extent.absorbance_low <= intercept <= extent.absorbance_high:
        return None
    if low >= high:
        return None
    return (low, intercept + slope * low), (high, intercept + slope * high)
