"""Runs of labels: which label lies on which page, and how large its words are."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.utils.safestring import SafeString

from frontend.preparing.label_layouts import LabelLayout, layout_query
from frontend.preparing.label_sizes import Content, label_sizes
from frontend.printed_codes import modules_along, square_code


@dataclass(frozen=True, slots=True)
class Label:
    """One label as it is printed.

    Attributes
    ----------
    code : str
        What stands large on it.
    said : str
        What its square is, for who cannot see it.
    lines : tuple of str
        What stands below the code, the weightiest line first.
    """

    code: str
    encoded: str
    said: str
    lines: tuple[str, ...]

    @property
    def square(self) -> SafeString:
        """Its square."""
        return square_code(self.encoded)


@dataclass(frozen=True, slots=True)
class LabelRun:
    """All pages of a run; None stands for a place that is left empty."""

    layout: LabelLayout
    content: Content
    pages: tuple[tuple[Label | None, ...], ...]

    @property
    def geometry_query(self) -> str:
        """What the address of its stylesheet says."""
        return urlencode(layout_query(self.layout) | self.content.query())

    @property
    def n_labels(self) -> int:
        """Number of labels."""
        return sum(one is not None for page in self.pages for one in page)


def lay_out(
    labels: Sequence[Label], layout: LabelLayout, *, start: int, by_hand: bool = False
) -> LabelRun:
    """Lay labels out from a place of the first page on.

    Raises
    ------
    NotAdmitted
        The labels are too small for what stands on them.
    """
    content = _fullest(labels, by_hand=by_hand)
    label_sizes(layout, content)
    slots: list[Label | None] = [None] * (start - 1) if labels else []
    slots += labels
    n = layout.per_page
    pages = (tuple(slots[first : first + n]) for first in range(0, len(slots), n))
    return LabelRun(layout, content, tuple(pages))


def _fullest(labels: Sequence[Label], *, by_hand: bool) -> Content:
    n_lines = max((len(one.lines) for one in labels), default=1)
    return Content(
        code=max((len(one.code) for one in labels), default=1),
        lines=tuple(
            max((len(one.lines[i]) for one in labels if i < len(one.lines)), default=1)
            for i in range(n_lines)
        ),
        modules=max((modules_along(one.encoded) for one in labels), default=1),
        by_hand=by_hand,
    )


def copies_of(labels: Sequence[Label], copies: int) -> list[Label]:
    """Return each label so many times, copies of one beside each other."""
    return [label for label in labels for _ in range(copies)]


def carried(typed: Mapping[str, str], names: Sequence[str]) -> dict[str, str]:
    """Return the boxes of a form that another form hands on, empty ones left out."""
    return {name: typed[name] for name in names if typed.get(name)}
