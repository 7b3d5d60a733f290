"""How large code, square and words of a label are, so that they fit it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from frontend.preparing.label_layouts import LabelLayout
from results.policy.refusals import NotAdmitted, Problem

# Printers leave some millimetres at the edge of a page white.
_WHITE_EDGE_MM = 5.0
_INSET_MM, _INSET_SHARE = 1.5, 0.08
_GAP_MM = 1.5
# A sign of the code's typeface is about 0.6 of its size wide, one of words about
# half; measured on the usual system typefaces, with something to spare.
_CODE_SIGN, _WORD_SIGN, _LINE = 0.62, 0.54, 1.22
_LARGEST_CODE_MM, _LEAST_CODE_MM = 16.0, 2.4
# 1.75 mm is 5 point, the least that is read without effort at a bench.
_LARGEST_WORDS_MM, _LEAST_WORDS_MM = 4.0, 1.75
_LARGEST_SQUARE_MM = 40.0
# Cameras of phones want modules of about a third of a millimetre: common practice.
_LEAST_MODULE_MM = 0.3
_BY_HAND_MM, _ROOM_FOR_HAND_MM = 11.0, 50.0
_MOST_SIGNS, _MOST_LINES = 400, 12


@dataclass(frozen=True, slots=True)
class Content:
    """What the fullest label of a run holds.

    Attributes
    ----------
    code : int
        Signs of the longest code.
    lines : tuple of int
        Signs of each line of words below it.
    modules : int
        Modules along a side of the largest square, its quiet zone among them.
    by_hand : bool
        Whether lines to fill in by hand are wanted, where there is room.
    """

    code: int
    lines: tuple[int, ...]
    modules: int
    by_hand: bool = False

    def query(self) -> dict[str, str]:
        """Return what an address says of it."""
        said = {
            "code": str(self.code),
            "lines": "-".join(map(str, self.lines)),
            "modules": str(self.modules),
        }
        return said | ({"by_hand": "yes"} if self.by_hand else {})


@dataclass(frozen=True, slots=True)
class LabelSizes:
    """Sizes in mm: white inside a label's edges, square, code, words."""

    inset_x_mm: float
    inset_y_mm: float
    gap_mm: float
    square_mm: float
    code_mm: float
    words_mm: float
    hand_mm: float


def read_content(typed: Mapping[str, str]) -> Content:
    """Return the content that an address tells of.

    Raises
    ------
    NotAdmitted
        It tells of none.
    """
    numbers = [typed.get("code", ""), typed.get("modules", "")]
    lines = typed.get("lines", "").split("-")
    if len(lines) > _MOST_LINES or not all(
        text.isascii() and text.isdecimal() and 0 < int(text[:4]) <= _MOST_SIGNS
        for text in (*numbers, *lines)
    ):
        raise NotAdmitted([Problem(("content",), "Open the page from its list again.")])
    code, modules = map(int, numbers)
    return Content(
        code, tuple(map(int, lines)), modules, by_hand=typed.get("by_hand") == "yes"
    )


def label_sizes(layout: LabelLayout, content: Content) -> LabelSizes:
    """Return the largest sizes at which the content fits a label.

    Raises
    ------
    NotAdmitted
        The label is too small for it.
    """
    inset_x = max(_INSET_MM, _WHITE_EDGE_MM - layout.left_mm)
    inset_y = max(
        min(_INSET_MM, _INSET_SHARE * layout.height_mm), _WHITE_EDGE_MM - layout.top_mm
    )
    has_hand = content.by_hand and layout.height_mm >= _ROOM_FOR_HAND_MM
    hand = _BY_HAND_MM if has_hand else 0.0
    height = layout.height_mm - 2 * inset_y - hand
    width = layout.width_mm - 2 * inset_x
    square = max(min(height, 0.42 * width, _LARGEST_SQUARE_MM), 0.0)
    beside = max(width - square - _GAP_MM, 0.1)
    code, words = _letters_mm(beside, height, content)
    if square / content.modules < _LEAST_MODULE_MM or words < _LEAST_WORDS_MM:
        message = "These labels are too small for what stands on them: take larger."
        raise NotAdmitted([Problem(("layout",), message)])
    return LabelSizes(inset_x, inset_y, _GAP_MM, square, code, words, hand)


def _letters_mm(width: float, height: float, content: Content) -> tuple[float, float]:
    """Return the sizes of code and words: the code gives way where words need room."""
    code = min(width / (_CODE_SIGN * content.code), 0.45 * height, _LARGEST_CODE_MM)
    while code >= _LEAST_CODE_MM:
        words = _words_mm(width, height - code * _LINE, content.lines)
        if words:
            # Beside the code, words as large as it would be none.
            return code, min(words, max(code / 2, _LEAST_WORDS_MM))
        code -= 0.1
    return 0.0, 0.0


def _words_mm(width: float, height: float, lines: tuple[int, ...]) -> float:
    """Return the largest size, in steps of 0.05 mm, at which the words fit; 0 if none.

    A line breaks between words, so that each wrapped one loses half a word at its end.
    """
    size = _LARGEST_WORDS_MM
    while size >= _LEAST_WORDS_MM:
        per_line = max(width / (size * _WORD_SIGN), 1.0)
        wrapped = (
            1 if signs <= per_line else math.ceil(signs / max(per_line - 3, 1))
            for signs in lines
        )
        if sum(wrapped) * size * _LINE <= height:
            return size
        size -= 0.05
    return 0.0


def stylesheet(layout: LabelLayout, sizes: LabelSizes) -> str:
    """Return the rules that put labels of a layout in their places, in mm."""
    cut = ".label{outline:.15mm dashed #777;outline-offset:-.08mm}"
    return (
        f"@page{{size:{layout.page_width_mm:g}mm {layout.page_height_mm:g}mm;margin:0}}"
        f".label-page{{width:{layout.page_width_mm:g}mm;"
        f"height:{layout.page_height_mm:g}mm;"
        f"padding:{layout.top_mm:g}mm 0 0 {layout.left_mm:g}mm;"
        f"grid-template-columns:repeat({layout.columns},{layout.width_mm:g}mm);"
        f"grid-auto-rows:{layout.height_mm:g}mm;"
        f"gap:{layout.row_gap_mm:g}mm {layout.column_gap_mm:g}mm}}"
        f".label{{padding:{sizes.inset_y_mm:g}mm {sizes.inset_x_mm:g}mm;"
        f"grid-template-columns:{sizes.square_mm:.3f}mm minmax(0,1fr);"
        f"column-gap:{sizes.gap_mm:g}mm;font-size:{sizes.words_mm:.2f}mm}}"
        f".label .label-code{{font-size:{sizes.code_mm:.2f}mm}}"
        f".label .label-hand{{{_hand_rule(sizes)}}}" + (cut if layout.cut_lines else "")
    )


def _hand_rule(sizes: LabelSizes) -> str:
    return f"height:{sizes.hand_mm:g}mm" if sizes.hand_mm else "display:none"
