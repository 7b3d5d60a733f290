"""The form on which a record of a lot's content is entered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from frontend.pressed import row_number
from results.policy.assay_boxes import BOXES, RESULT_BOXES, AssayKind
from results.policy.assays import MOST_RESULTS, AssayRecord
from results.policy.refusals import Problem

LEAST_ROWS, MORE_ROWS = 6, 6
KINDS = tuple(kind for kind in AssayKind if kind is not AssayKind.WITHDRAWN)
#: The salt that lots are mostly made up from.
_USUAL_SALT = "Fe(NH4)2(SO4)2(H2O)6"
_COLUMN_LABELS = {"vial": "vial, if known", "set_aside": ""} | {
    name: box.label for name, box in RESULT_BOXES.items()
}


@dataclass(frozen=True, slots=True)
class TypedBox:
    """One box: what was typed into it, and what needs mending."""

    name: str
    label: str
    value: str
    hint: str = ""
    problem: str = ""


@dataclass(frozen=True, slots=True)
class TypedRow:
    """One row of results; `set_aside` is carried along unseen."""

    number: int
    boxes: tuple[TypedBox, ...]
    set_aside: str
    problem: str


@dataclass(frozen=True, slots=True)
class RecordForm:
    """A form as it is shown."""

    kind: AssayKind
    boxes: tuple[TypedBox, ...]
    columns: tuple[str, ...]
    rows: tuple[TypedRow, ...]
    wrong_rows: str
    n_problems: int
    made_at: TypedBox
    note: TypedBox
    reason: TypedBox
    formula: TypedBox
    titrant: str
    wrong_titrant: str
    pasted: str
    wrong_pasted: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Paste:
    """A table that was pasted, kept as long as it could not be read."""

    text: str = ""
    problems: tuple[str, ...] = ()


def rows_typed(
    kind: AssayKind, typed: Mapping[str, str], *, more: int = 0
) -> list[dict[str, str]]:
    """Return the rows of a form, as many as it had and some more."""
    asked = row_number(typed.get("rows", "")) + more
    n = min(max(asked, LEAST_ROWS), MOST_RESULTS) if kind.columns else 0
    names = ("vial", *kind.columns, "set_aside")
    return [
        {name: typed.get(f"{name}-{place}", "") for name in names} for place in range(n)
    ]


def typed_again(record: AssayRecord) -> tuple[dict[str, str], list[dict[str, str]]]:
    """Return a record as somebody would type it."""
    typed = {
        name: "" if value is None else _plain(value)
        for name, value in record.basis.items()
    }
    typed["note"] = record.note
    typed["made_at"] = in_box(record.made_at)
    rows = [
        {
            "vial": row.vial,
            "set_aside": row.set_aside,
            **{name: _plain(getattr(row, name) or 0.0) for name in record.kind.columns},
        }
        for row in record.rows
    ]
    return typed, rows


def in_box(moment: datetime) -> str:
    """Return a moment as a box for days and times takes it."""
    return f"{timezone.localtime(moment):%Y-%m-%dT%H:%M}"


def _plain(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:.12g}"


def record_form(
    kind: AssayKind,
    typed: Mapping[str, str],
    rows: Sequence[Mapping[str, str]],
    problems: Sequence[Problem] = (),
    paste: Paste = Paste(),
) -> RecordForm:
    """Lay a form out, with what was typed and what needs mending."""
    wrong = {one.where: one.message for one in problems}

    def box(name: str, label: str = "", hint: str = "", usual: str = "") -> TypedBox:
        value = typed.get(name, usual)
        return TypedBox(name, label, value, hint, wrong.get((name,), ""))

    filled = [*rows, *({} for _ in range(LEAST_ROWS - len(rows)))]
    return RecordForm(
        kind=kind,
        boxes=tuple(
            box(one.name, one.label, one.hint, one.usual.strip("-"))
            for one in BOXES[kind]
        ),
        columns=tuple(_COLUMN_LABELS[name] for name in ("vial", *kind.columns)),
        rows=tuple(
            _row(kind, place, row, wrong)
            for place, row in enumerate(filled if kind.columns else ())
        ),
        wrong_rows=wrong.get(("rows",), ""),
        n_problems=len(problems),
        made_at=box("made_at"),
        note=box("note"),
        reason=box("reason"),
        formula=box("formula", usual=_USUAL_SALT),
        titrant=typed.get("titrant", "dichromate"),
        wrong_titrant=wrong.get(("titrant",), ""),
        pasted=paste.text,
        wrong_pasted=paste.problems,
    )


def _row(
    kind: AssayKind,
    place: int,
    row: Mapping[str, str],
    wrong: Mapping[tuple[str | int, ...], str],
) -> TypedRow:
    names = ("vial", *kind.columns)
    said = [wrong[key] for name in names if (key := ("rows", place, name)) in wrong]
    return TypedRow(
        number=place + 1,
        boxes=tuple(
            TypedBox(
                f"{name}-{place}",
                f"{_COLUMN_LABELS[name]}, result {place + 1}",
                row.get(name, ""),
                name,
                wrong.get(("rows", place, name), ""),
            )
            for name in names
        ),
        set_aside=row.get("set_aside", ""),
        problem=" ".join(said),
    )
