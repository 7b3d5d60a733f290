"""What is chosen on the page of everything printed: sheet, labels, language."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from django.conf import settings
from django.http import QueryDict

from frontend.preparing.label_layouts import (
    COUNTS,
    DEFAULT_LAYOUT,
    SIZES,
    LabelLayout,
    read_layout,
    read_start,
)
from frontend.pressed import row_number
from results.policy.numbers import NotANumber, read_number
from results.policy.refusals import NotAdmitted, Problem
from results.summaries.paper import SectionSlips

T = TypeVar("T")
_MOST_COPIES = 4
_MOST_GRAMS = 1000
# What one form hands on to the next.
SHEET_BOXES = ("layout", "start", "page", *COUNTS, *SIZES, "cut_lines", "language")


@dataclass(frozen=True, slots=True)
class LabelForm:
    """A sheet as chosen.

    Attributes
    ----------
    start : int
        The label to begin at, from 1.
    supplied_g : float or None
        What a vial holds, in g, if it is to be said.
    """

    layout: LabelLayout
    start: int
    copies: int
    supplied_g: float | None
    language: str


def read_label_form(typed: Mapping[str, str]) -> LabelForm:
    """Return a sheet as chosen.

    Raises
    ------
    NotAdmitted
        Something needs mending; all of it is named by its box.
    """
    problems: list[Problem] = []
    layout = _tried(lambda: read_layout(typed), DEFAULT_LAYOUT, problems)
    # A sheet that is not one says nothing of its labels.
    start = 1 if problems else _tried(lambda: read_start(typed, layout), 1, problems)
    form = LabelForm(
        layout,
        start,
        _tried(lambda: _copies(typed), 1, problems),
        _tried(lambda: _grams(typed), None, problems),
        read_language(typed),
    )
    if problems:
        raise NotAdmitted(problems)
    return form


def _tried(read: Callable[[], T], otherwise: T, problems: list[Problem]) -> T:
    try:
        return read()
    except NotAdmitted as refusal:
        problems += refusal.problems
        return otherwise


def _copies(typed: Mapping[str, str]) -> int:
    text = typed.get("copies", "").strip() or "1"
    if text.isascii() and text.isdecimal() and 1 <= int(text[:4]) <= _MOST_COPIES:
        return int(text)
    message = f"Give 1 to {_MOST_COPIES} labels a vial."
    raise NotAdmitted([Problem(("copies",), message)])


def _grams(typed: Mapping[str, str]) -> float | None:
    text = typed.get("supplied_g", "").strip()
    if not text:
        return None
    try:
        grams = read_number(text)
    except NotANumber as error:
        raise NotAdmitted([Problem(("supplied_g",), str(error))]) from error
    if not 0 < grams <= _MOST_GRAMS:
        message = f"Give the mass in g, above 0 to {_MOST_GRAMS}; or leave it empty."
        raise NotAdmitted([Problem(("supplied_g",), message)])
    return grams


def read_language(typed: Mapping[str, str]) -> str:
    """Return the language of what is printed for groups: English unless chosen."""
    asked = typed.get("language", "")
    return asked if asked in dict(settings.LANGUAGES) else "en"


def row_numbers(sent: QueryDict, name: str) -> set[int]:
    """Return the numbers of the rows that a form names."""
    return {row_number(one) for one in sent.getlist(name)} - {0}


def chosen_groups(
    sent: QueryDict, found: Iterable[SectionSlips]
) -> dict[int, set[int]]:
    """Return the groups ticked in a form, by section; sections without one left out."""
    ticked = row_numbers(sent, "group")
    groups = {
        section.section_id: ticked & {row.group_id for row in section.rows}
        for section in found
    }
    return {section_id: chosen for section_id, chosen in groups.items() if chosen}


def marks_seen(sent: QueryDict) -> dict[int, str]:
    """Return the marks of the slips that the page showed, by section."""
    return {
        row_number(name.removeprefix("seen-")): str(sent[name])
        for name in sent
        if name.startswith("seen-")
    }
