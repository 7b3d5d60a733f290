"""Records of what a lot contains: what is typed, and what may be stored."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from results.policy.assay_boxes import BOXES, RESULT_BOXES, AssayKind, Box
from results.policy.moments import read_moment
from results.policy.numbers import NotANumber, read_number
from results.policy.refusals import NotAdmitted, Problem
from results.science.formula import FormulaError, mass_fraction

MOST_RESULTS = 200
LONGEST_NOTE = 240
_LONGEST_LABEL = 40
_TITRANTS = ("dichromate", "cerium")


@dataclass(frozen=True, slots=True)
class AssayRow:
    """One result of an assay.

    Attributes
    ----------
    set_aside : str
        Why a person does not count it; empty if it counts.
    """

    vial: str = ""
    iron_percent: float | None = None
    mass_g: float | None = None
    titre_mL: float | None = None
    set_aside: str = ""


@dataclass(frozen=True, slots=True)
class AssayRecord:
    """One record of a lot's content, as it may be stored."""

    kind: AssayKind
    basis: Mapping[str, float | str | None]
    rows: tuple[AssayRow, ...]
    made_at: datetime
    note: str = ""

    def number(self, name: str) -> float:
        """Return a number that the record has."""
        return float(self.basis[name] or 0.0)


@dataclass(slots=True)
class _Reader:
    """Reads boxes and keeps what needs mending."""

    problems: list[Problem] = field(default_factory=list)

    def number(self, where: tuple[str | int, ...], typed: str, box: Box) -> float:
        try:
            value = read_number(typed or box.usual)
        except NotANumber as error:
            said = str(error) if typed else "Type this number; it is needed."
            self.problems.append(Problem(where, said))
            return 0.0
        is_inside = box.low <= value <= box.high and not (
            box.above and value == box.low
        )
        if not is_inside:
            limits = f"from {box.low:g}" if not box.above else f"above {box.low:g}"
            said = f"Give a number {limits} to {box.high:g}."
            self.problems.append(Problem(where, said))
        return value


def read_assay(
    kind: AssayKind,
    typed: Mapping[str, str],
    rows: Sequence[Mapping[str, str]],
    *,
    zone: tzinfo,
) -> AssayRecord:
    """Return a record as typed; rows without a number are passed over.

    Parameters
    ----------
    typed : mapping
        The boxes of the kind, `made_at` as ISO 8601, `note`; for titrations
        `titrant`, for a make-up `formula`.
    rows : sequence of mappings
        Each with `vial`, the columns of the kind, and `set_aside`.
    zone : tzinfo
        Of a moment without a zone of its own.

    Raises
    ------
    NotAdmitted
        Something needs mending; all of it is named, by box or by row and box.
    """
    reader = _Reader()
    basis: dict[str, float | str | None] = {}
    for box in BOXES[kind]:
        text = typed.get(box.name, "").strip()
        is_left = box.usual == "-" and not text
        basis[box.name] = None if is_left else reader.number((box.name,), text, box)
    reader.problems += _words(kind, typed, basis)
    read = tuple(_rows(kind, rows, reader))
    reader.problems += _altogether(kind, basis, read, reader.problems)
    made_at = _moment(typed.get("made_at", ""), zone, reader)
    note = typed.get("note", "").replace("\x00", "").strip()
    if len(note) > LONGEST_NOTE:
        said = f"Shorten the note to {LONGEST_NOTE} signs."
        reader.problems.append(Problem(("note",), said))
    if reader.problems:
        raise NotAdmitted(reader.problems)
    return AssayRecord(kind, basis, read, made_at, note)


def _words(
    kind: AssayKind, typed: Mapping[str, str], basis: dict[str, float | str | None]
) -> Iterator[Problem]:
    if kind is AssayKind.TITRATION:
        basis["titrant"] = typed.get("titrant", "")
        if basis["titrant"] not in _TITRANTS:
            yield Problem(("titrant",), "Choose what was titrated with.")
    if kind is AssayKind.MAKE_UP:
        formula = typed.get("formula", "").strip()
        basis["formula"] = formula
        try:
            basis["iron_fraction"] = mass_fraction(formula)
        except FormulaError as error:
            yield Problem(("formula",), str(error))
        else:
            if not basis["iron_fraction"]:
                yield Problem(("formula",), "This salt has no iron in it.")


def _rows(
    kind: AssayKind, rows: Sequence[Mapping[str, str]], reader: _Reader
) -> Iterator[AssayRow]:
    filled = [
        (place, row)
        for place, row in enumerate(rows)
        if any(row.get(name, "").strip() for name in kind.columns)
    ]
    if kind.columns and not filled:
        said = "Type at least one result."
        reader.problems.append(Problem(("rows",), said))
    if len(filled) > MOST_RESULTS:
        said = f"A record holds {MOST_RESULTS} results at most."
        reader.problems.append(Problem(("rows",), said))
        return
    for place, row in filled:
        numbers = {
            name: reader.number(
                ("rows", place, name), row.get(name, "").strip(), RESULT_BOXES[name]
            )
            for name in kind.columns
        }
        vial = row.get("vial", "").replace("\x00", "").strip()
        why = row.get("set_aside", "").replace("\x00", "").strip()
        for name, text, most in (
            ("vial", vial, _LONGEST_LABEL),
            ("set_aside", why, LONGEST_NOTE),
        ):
            if len(text) > most:
                said = f"Shorten this to {most} signs."
                reader.problems.append(Problem(("rows", place, name), said))
        yield AssayRow(vial=vial, set_aside=why, **numbers)


def _altogether(
    kind: AssayKind,
    basis: Mapping[str, float | str | None],
    rows: tuple[AssayRow, ...],
    before: Sequence[Problem],
) -> Iterator[Problem]:
    """Yield what single boxes do not show."""
    if kind.columns and rows and all(row.set_aside for row in rows):
        yield Problem(("rows",), "At least one result has to count.")
    if basis.get("method_df") is not None and basis.get("method_sd") is None:
        yield Problem(("method_sd",), "Degrees of freedom of what? Give both, or none.")
    blank = basis.get("blank_mL")
    if not before and isinstance(blank, float):
        for place, row in enumerate(rows):
            if row.titre_mL is not None and row.titre_mL <= blank:
                said = "The titre is not above the blank."
                yield Problem(("rows", place, "titre_mL"), said)


def _moment(typed: str, zone: tzinfo, reader: _Reader) -> datetime:
    with suppress(ValueError):
        if moment := read_moment(typed, zone):
            return moment
    said = "Give the day and time, as 2025-03-04T14:00."
    reader.problems.append(Problem(("made_at",), said))
    return datetime.min.replace(tzinfo=zone)
