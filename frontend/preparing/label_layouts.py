"""Sheets of labels by their geometry: where each label lies on its page, in mm."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from results.policy.numbers import NotANumber, read_number
from results.policy.refusals import NotAdmitted, Problem

MM_PER_INCH = 25.4
# ISO 216 A4 and US Letter, mm: width and height.
PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
PAGE_NAMES = {"a4": "A4", "letter": "Letter"}
OWN = "own"
_DEFAULT = "a4-3x8-70x36"
# Printed geometries are rounded to the tenth; a sheet may be over by this much.
_ROUNDING_MM = 0.05


@dataclass(frozen=True, slots=True)
class LabelLayout:
    """One geometry of a sheet, in mm; `cut_lines` for plain paper.

    Attributes
    ----------
    left_mm, top_mm : float
        From the page's edges to the first label.
    column_gap_mm, row_gap_mm : float
        Between two labels.
    """

    page: str
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    column_gap_mm: float = 0.0
    row_gap_mm: float = 0.0
    cut_lines: bool = False

    @property
    def key(self) -> str:
        """What names the layout in an address."""
        plain = "plain-" if self.cut_lines else ""
        size = f"{self.width_mm:g}x{self.height_mm:g}".replace(".", "_")
        return f"{self.page}-{plain}{self.columns}x{self.rows}-{size}"

    @property
    def name(self) -> str:
        """The layout in words: page, columns × rows, size of one label."""
        page = PAGE_NAMES[self.page]
        plain = ", plain paper with cut lines" if self.cut_lines else ""
        if self.page == "letter" and not self.cut_lines:
            width, height = self.width_mm / MM_PER_INCH, self.height_mm / MM_PER_INCH
            size = f"{width:.4g} × {height:.4g} in"
        else:
            size = f"{self.width_mm:g} × {self.height_mm:g} mm"
        return f"{page}{plain}, {self.columns} × {self.rows}, {size}"

    @property
    def page_width_mm(self) -> float:
        """Width of the page."""
        return PAGES[self.page][0]

    @property
    def page_height_mm(self) -> float:
        """Height of the page."""
        return PAGES[self.page][1]

    @property
    def per_page(self) -> int:
        """Labels of one page."""
        return self.columns * self.rows

    def slots(self) -> Iterator[tuple[float, float]]:
        """Yield the upper left corner of each label, row by row, in mm."""
        for row in range(self.rows):
            for column in range(self.columns):
                yield (
                    self.left_mm + column * (self.width_mm + self.column_gap_mm),
                    self.top_mm + row * (self.height_mm + self.row_gap_mm),
                )

    def problems(self) -> Iterator[Problem]:
        """Yield what keeps the labels from lying on their page, apart."""
        limits = {
            "columns": (1, 20, "Give 1 to 20 columns."),
            "rows": (1, 40, "Give 1 to 40 rows."),
            "width_mm": (15, 300, "Give the width of a label in mm, 15 or more."),
            "height_mm": (10, 300, "Give the height of a label in mm, 10 or more."),
            "left_mm": (0, 100, "Give the left margin in mm, 0 to 100."),
            "top_mm": (0, 100, "Give the top margin in mm, 0 to 100."),
            "column_gap_mm": (0, 100, "Give the gap between columns in mm, 0 to 100."),
            "row_gap_mm": (0, 100, "Give the gap between rows in mm, 0 to 100."),
        }
        sound = True
        for name, (low, high, sentence) in limits.items():
            if not low <= getattr(self, name) <= high:
                sound = False
                yield Problem((name,), sentence)
        if sound:
            yield from self._overhanging()

    def _overhanging(self) -> Iterator[Problem]:
        *_, (x_mm, y_mm) = self.slots()
        over_mm = x_mm + self.width_mm - self.page_width_mm
        if over_mm > _ROUNDING_MM:
            yield Problem(
                ("width_mm",),
                f"The labels are {over_mm:.1f} mm wider than the page: take a "
                "smaller width, margin or gap, or fewer columns.",
            )
        over_mm = y_mm + self.height_mm - self.page_height_mm
        if over_mm > _ROUNDING_MM:
            yield Problem(
                ("height_mm",),
                f"The labels are {over_mm:.1f} mm higher than the page: take a "
                "smaller height, margin or gap, or fewer rows.",
            )


def _inches(
    columns: int, rows: int, size: tuple[float, float], left: float, gap: float
) -> LabelLayout:
    """Return a sheet on Letter whose labels begin half an inch from the top."""
    width, height = size
    mm = MM_PER_INCH
    return LabelLayout(
        "letter",
        columns,
        rows,
        round(width * mm, 3),
        round(height * mm, 3),
        round(left * mm, 3),
        round(0.5 * mm, 3),
        round(gap * mm, 3),
    )


# Geometries that label sheets are commonly sold in, from memory: lay a calibration
# print over a sheet before the first run.
LAYOUTS = (
    LabelLayout("a4", 3, 8, 70, 36, 0, 4.5),
    LabelLayout("a4", 3, 7, 63.5, 38.1, 7.25, 15.15, 2.5),
    LabelLayout("a4", 4, 10, 48.5, 25.4, 8, 21.5),
    LabelLayout("a4", 5, 13, 38.1, 21.2, 4.75, 10.7, 2.5),
    LabelLayout("a4", 2, 7, 99.1, 38.1, 4.65, 15.15, 2.5),
    LabelLayout("a4", 2, 4, 99.1, 67.7, 4.65, 13.1, 2.5),
    _inches(3, 10, (2.625, 1), left=0.1875, gap=0.125),
    _inches(2, 5, (4, 2), left=0.15625, gap=0.1875),
    _inches(4, 20, (1.75, 0.5), left=0.3, gap=0.3),
    LabelLayout("a4", 3, 8, 60, 33, 15, 16.5, cut_lines=True),
    LabelLayout("a4", 2, 4, 90, 66, 15, 16.5, cut_lines=True),
    LabelLayout("letter", 3, 8, 60, 31, 17.95, 15.7, cut_lines=True),
    LabelLayout("letter", 2, 4, 90, 62, 17.95, 15.7, cut_lines=True),
)
_BY_KEY = {layout.key: layout for layout in LAYOUTS}
DEFAULT_LAYOUT = _BY_KEY[_DEFAULT]
SIZES = (
    "width_mm", "height_mm", "left_mm", "top_mm", "column_gap_mm", "row_gap_mm",
)  # fmt: skip
COUNTS = ("columns", "rows")
_NAMES = {
    "columns": "the number of columns",
    "rows": "the number of rows",
    "width_mm": "the width of a label in mm",
    "height_mm": "the height of a label in mm",
    "left_mm": "the left margin in mm",
    "top_mm": "the top margin in mm",
    "column_gap_mm": "the gap between columns in mm",
    "row_gap_mm": "the gap between rows in mm",
}
_MAY_BE_EMPTY = ("column_gap_mm", "row_gap_mm")


def read_layout(typed: Mapping[str, str]) -> LabelLayout:
    """Return the layout that a form names, or the own one that it describes.

    Raises
    ------
    NotAdmitted
        There is no such layout, or the own one does not fit its page.
    """
    key = typed.get("layout", "") or _DEFAULT
    if key in _BY_KEY:
        return _BY_KEY[key]
    if key != OWN:
        raise NotAdmitted([Problem(("layout",), "Choose a sheet from the list.")])
    layout = _own(typed)
    if problems := list(layout.problems()):
        raise NotAdmitted(problems)
    return layout


def _own(typed: Mapping[str, str]) -> LabelLayout:
    problems: list[Problem] = []
    page = typed.get("page", "")
    if page not in PAGES:
        problems.append(Problem(("page",), "Choose the size of the page."))
    numbers: dict[str, float] = {}
    for name in (*COUNTS, *SIZES):
        text = typed.get(name, "").strip()
        if not text and name in _MAY_BE_EMPTY:
            text = "0"
        try:
            numbers[name] = read_number(text)
        except NotANumber:
            problems.append(Problem((name,), f"Give {_NAMES[name]}."))
    problems += [
        Problem((name,), f"Give {_NAMES[name]} as a whole number.")
        for name in COUNTS
        if name in numbers and numbers[name] % 1
    ]
    if problems:
        raise NotAdmitted(problems)
    return LabelLayout(
        page=page,
        columns=int(numbers["columns"]),
        rows=int(numbers["rows"]),
        width_mm=numbers["width_mm"],
        height_mm=numbers["height_mm"],
        left_mm=numbers["left_mm"],
        top_mm=numbers["top_mm"],
        column_gap_mm=numbers["column_gap_mm"],
        row_gap_mm=numbers["row_gap_mm"],
        cut_lines=typed.get("cut_lines") == "yes",
    )


def layout_query(layout: LabelLayout) -> dict[str, str]:
    """Return what an address says to mean the layout."""
    if _BY_KEY.get(layout.key) == layout:
        return {"layout": layout.key}
    described = {name: f"{getattr(layout, name):g}" for name in (*COUNTS, *SIZES)}
    cut = {"cut_lines": "yes"} if layout.cut_lines else {}
    return {"layout": OWN, "page": layout.page, **described, **cut}


def read_start(typed: Mapping[str, str], layout: LabelLayout) -> int:
    """Return the label to begin at, from 1: earlier ones of a used sheet are gone.

    Raises
    ------
    NotAdmitted
        The sheet has no such label.
    """
    text = typed.get("start", "").strip() or "1"
    if re.fullmatch(r"[0-9]{1,4}", text) and 1 <= int(text) <= layout.per_page:
        return int(text)
    message = f"The sheet has labels 1 to {layout.per_page}; give one of these."
    raise NotAdmitted([Problem(("start",), message)])
