"""A grading scheme as boxes to type in, and back."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from frontend.grade_pictures import Curve, bands_picture
from results.policy.marking import read_points, read_scheme
from results.policy.refusals import NotAdmitted, Problem

# By part: its boxes, the first of which says whether the part is graded at all.
_BOXES: Mapping[str, tuple[str, ...]] = {
    "accuracy": ("points", "shape", "knots", "beyond", "widen_by_u", "floor"),
    "precision": ("points", "shape", "knots", "beyond"),
    "worked_answer": ("points", "per_slip"),
    "completeness": ("points",),
    "lateness": ("per_day", "most", "grace_min"),
    "resubmission": ("cost", "free", "most", "counted"),
}
_WHOLE = frozenset({"grace_min", "free"})
_WORDS = frozenset({"shape", "counted"})
LABELS: Mapping[str, Mapping[str, str]] = {
    "accuracy": {
        "points": "Points",
        "shape": "Bands",
        "knots": "Knots, one a line: percent, points",
        "beyond": "Points past the last knot",
        "widen_by_u": "Standard uncertainties of the lot taken off a deviation",
        "floor": "Least points for complete work",
    },
    "precision": {
        "points": "Points",
        "shape": "Bands",
        "knots": "Knots, one a line: percent, points",
        "beyond": "Points past the last knot",
    },
    "worked_answer": {"points": "Points", "per_slip": "Less for each slip"},
    "completeness": {"points": "Points"},
    "lateness": {
        "per_day": "Less for each day begun",
        "most": "At most",
        "grace_min": "Grace, minutes",
    },
    "resubmission": {
        "cost": "Less for each revision beyond the free ones",
        "free": "Free revisions",
        "most": "At most",
        "counted": "Which count",
    },
}
TITLES: Mapping[str, tuple[str, str]] = {
    "accuracy": (
        "Accuracy",
        "From the recomputed answer, so that arithmetic costs nothing here.",
    ),
    "precision": (
        "Precision",
        "Relative standard deviation of the unknown tubes, in percent.",
    ),
    "worked_answer": (
        "Worked answer",
        "The group's own working against its own readings; each slip counts once.",
    ),
    "completeness": (
        "Completeness",
        "The share of the protocol's tubes that was read.",
    ),
    "lateness": ("Late", "By the first revision; taken off the sum."),
    "resubmission": ("Sent again", "Later revisions; taken off the sum."),
}
_CHOICES = {
    "shape": (("step", "in steps"), ("linear", "along straight lines")),
    "counted": (
        ("after_due", "after the due time"),
        ("all", "all"),
    ),
}


@dataclass(frozen=True, slots=True)
class Box:
    """One box; `problem` says what to mend in it."""

    name: str
    label: str
    value: str
    problem: str
    choices: tuple[tuple[str, str], ...]
    is_list: bool
    is_whole: bool


@dataclass(frozen=True, slots=True)
class Fields:
    """The boxes of one part, with a picture of its bands where it has some."""

    name: str
    title: str
    hint: str
    boxes: tuple[Box, ...]
    curve: Curve | None


@dataclass(frozen=True, slots=True)
class SchemeForm:
    """The whole form."""

    title: Box
    parts: tuple[Fields, ...]
    other_problems: tuple[str, ...]


def from_document(document: Mapping[str, Any]) -> dict[str, str]:
    """Return what stands in the boxes for a document."""
    values = {"title": str(document.get("title", ""))}
    for part, boxes in _BOXES.items():
        stored = document.get(part) or {}
        for box in boxes:
            value = stored.get(box, "")
            if box == "knots":
                lines = (" ".join(f"{n:g}" for n in knot) for knot in value or [])
                values[f"{part}-{box}"] = "\n".join(lines)
            else:
                values[f"{part}-{box}"] = f"{value:g}" if _is_number(value) else value
    return values


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def to_document(values: Mapping[str, str]) -> dict[str, Any]:
    """Return the document that was typed; what cannot be read stays as typed."""
    document: dict[str, Any] = {"title": values.get("title", "").strip()}
    for part, boxes in _BOXES.items():
        if not values.get(f"{part}-{boxes[0]}", "").strip():
            continue
        document[part] = {
            box: _read(box, typed)
            for box in boxes
            if (typed := values.get(f"{part}-{box}", "").strip())
        }
    return document


def _read(box: str, typed: str) -> Any:
    if box in _WORDS:
        return typed
    if box == "knots":
        lines = [line for line in typed.splitlines() if line.strip()]
        return [[_number(n) for n in _apart(line)] for line in lines]
    return _number(typed)


def _apart(line: str) -> list[str]:
    """Return the numbers of a line; a comma at a number's end is none of its."""
    return [piece.rstrip(",") for piece in re.split(r"[\s;:%]+", line.strip()) if piece]


def _number(typed: str) -> int | float | str:
    read = read_points(typed)
    if read is None:
        return typed
    return int(read) if read == int(read) else float(read)


def scheme_form(
    values: Mapping[str, str], problems: Iterable[Problem] = ()
) -> SchemeForm:
    """Lay out the form; each problem stands at the box that it is about."""
    by_box: dict[str, str] = {}
    other: list[str] = []
    for problem in problems:
        name = "-".join(str(part) for part in problem.where[:2])
        line = f"Line {int(problem.where[2]) + 1}: " if len(problem.where) > 2 else ""
        if name in values or name in {"title", *_names()}:
            by_box.setdefault(name, f"{line}{problem.message}")
        else:
            other.append(problem.message)
    return SchemeForm(
        title=_box("title", "Title", values, by_box),
        parts=tuple(
            Fields(
                part,
                *TITLES[part],
                tuple(
                    _box(f"{part}-{box}", LABELS[part][box], values, by_box)
                    for box in boxes
                ),
                _curve(part, values),
            )
            for part, boxes in _BOXES.items()
        ),
        other_problems=tuple(other),
    )


def _names() -> list[str]:
    return [f"{part}-{box}" for part, boxes in _BOXES.items() for box in boxes]


def _box(
    name: str, label: str, values: Mapping[str, str], problems: Mapping[str, str]
) -> Box:
    kind = name.partition("-")[2]
    return Box(
        name=name,
        label=label,
        value=values.get(name, ""),
        problem=problems.get(name, ""),
        choices=_CHOICES.get(kind, ()),
        is_list=kind == "knots",
        is_whole=kind in _WHOLE,
    )


def _curve(part: str, values: Mapping[str, str]) -> Curve | None:
    """Draw a part's bands, if they can be read."""
    document = to_document(values)
    if "knots" not in document.get(part, {}):
        return None
    try:
        scheme = read_scheme({"title": "drawn", part: document[part]})
    except NotAdmitted:
        return None
    rule = scheme.accuracy if part == "accuracy" else scheme.precision
    return bands_picture(rule.bands, rule.max_points) if rule else None
