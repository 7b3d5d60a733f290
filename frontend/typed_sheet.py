"""What was typed on a bench sheet: from a form or a record, to raw readings."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from django.http import QueryDict

from results.policy.language import in_readers_format
from results.policy.typed import BLANK, OWN_FIELDS, RawReading, RawSubmission, Scale
from results.summaries.bench import BenchSheet, TubeSheet, TypedBefore

# More rows than any protocol has tubes and replicates is not this form.
_MOST_ROWS = 400


@dataclass(frozen=True, slots=True)
class Row:
    """One reading box of the sheet."""

    tube: str
    replicate: str


@dataclass(frozen=True, slots=True)
class TypedSheet:
    """Everything typed, by the name of its box.

    Attributes
    ----------
    rows : tuple of Row
        The reading boxes; row i has its value under ``value-i``.
    """

    values: Mapping[str, str]
    rows: tuple[Row, ...]
    left_out: frozenset[str] = field(default_factory=frozenset)

    def get(self, name: str) -> str:
        """Return what was typed in a box; empty if nothing was."""
        return self.values.get(name, "")

    @property
    def scale(self) -> Scale:
        """The scale chosen; percent transmittance unless the other is."""
        chosen = self.get("scale")
        return Scale(chosen) if chosen in set(Scale) else Scale.PERCENT_T

    def first_row(self, index: int) -> int:
        """Return the first row of a row's tube: that one has the volume box."""
        return next(
            i for i, row in enumerate(self.rows) if row.tube == self.rows[index].tube
        )


def ordered_tubes(sheet: BenchSheet) -> tuple[TubeSheet, ...]:
    """Return the tubes as they stand in the rack: pale to deep, unknowns last."""
    return tuple(
        sorted(
            sheet.tubes,
            key=lambda tube: (
                tube.kind != "standard",
                tube.take_mL / tube.make_up_mL if tube.kind == "standard" else 0,
            ),
        )
    )


def from_form(post: QueryDict) -> TypedSheet:
    """Read a form that was sent."""
    return TypedSheet(
        values={name: str(post[name]) for name in post},
        rows=tuple(_posted_rows(post)),
        left_out=frozenset(map(str, post.getlist("left_out"))),
    )


def _posted_rows(post: QueryDict) -> Iterator[Row]:
    for index in range(_MOST_ROWS):
        tube = post.get(f"tube-{index}")
        if tube is None:
            return
        yield Row(str(tube), str(post.get(f"replicate-{index}", "1")))


def from_record(sheet: BenchSheet) -> TypedSheet:
    """Fill a sheet with the current submission, or leave it empty."""
    before = sheet.typed_before
    rows = tuple(_rows(sheet))
    if before is None:
        return TypedSheet({}, rows)
    read = {(r.tube, str(r.replicate)): r for r in before.readings}
    values = {
        "station": before.station,
        "scale": before.scale,
        "standard_mass_g": _digits(before.standard_mass_g),
        "unknown_mass_g": _digits(before.unknown_mass_g),
        **{name: in_readers_format(digits) for name, digits in before.own.items()},
    }
    for index, row in enumerate(rows):
        reading = read.get((row.tube, row.replicate))
        if reading is not None:
            values[f"value-{index}"] = _digits(reading.value)
            if reading.taken_mL is not None:
                values[f"taken-{index}"] = _digits(reading.taken_mL)
    measured = {reading.tube for reading in before.readings}
    return TypedSheet(
        values, rows, frozenset(t.label for t in sheet.tubes if t.label not in measured)
    )


def with_draft(typed: TypedSheet, unsent: Mapping[str, str]) -> TypedSheet:
    """Lay what the group's phones have typed since over a sheet.

    Parameters
    ----------
    unsent : mapping
        By the name of the box, as `results.policy.drafts` names them.
    """
    if not unsent:
        return typed
    values = {**typed.values, **unsent}
    left_out = set(typed.left_out)
    for index, row in enumerate(typed.rows):
        for name, box in (
            (f"value-{index}", f"value/{row.tube}/{row.replicate}"),
            (f"taken-{index}", f"taken/{row.tube}"),
        ):
            if box in unsent:
                values[name] = unsent[box]
        ticked = unsent.get(f"left_out/{row.tube}")
        if ticked is not None:
            (left_out.add if ticked else left_out.discard)(row.tube)
    return TypedSheet(values, typed.rows, frozenset(left_out))


def _rows(sheet: BenchSheet) -> Iterator[Row]:
    # The blank may be read as a tube of its own; its rows come after those of the
    # protocol, so that they move none of them. Its first reading follows setting
    # 100 %, its second stands before the unknown: replicates 1 and 2.
    labels = [*(tube.label for tube in ordered_tubes(sheet)), BLANK]
    before: TypedBefore | None = sheet.typed_before
    read: dict[str, list[int]] = {label: [] for label in labels}
    for reading in before.readings if before else ():
        read.setdefault(reading.tube, []).append(reading.replicate)
    numbers = {label: replicates or [1] for label, replicates in read.items()}
    numbers[BLANK] = sorted({1, 2, *numbers[BLANK]})
    # What is usually read comes first, in the order of the rack; then the second
    # readings, with one box more than there are, for reading a tube again.
    for label, (first, *_) in numbers.items():
        yield Row(label, str(first))
    for label, (first, *more) in numbers.items():
        for number in (*more, max(first, *more, 0) + 1):
            yield Row(label, str(number))


def _digits(number: float) -> str:
    return in_readers_format(f"{number:.12g}")


def to_raw(typed: TypedSheet) -> RawSubmission:
    """Return what was typed as the rules of admission take it."""
    return RawSubmission(
        station=typed.get("station"),
        vial=typed.get("vial"),
        standard_mass_g=typed.get("standard_mass_g"),
        unknown_mass_g=typed.get("unknown_mass_g"),
        readings=tuple(
            RawReading(
                tube=row.tube,
                value="" if row.tube in typed.left_out else typed.get(f"value-{i}"),
                scale=typed.scale,
                replicate=row.replicate,
                taken_mL=typed.get(f"taken-{typed.first_row(i)}"),
            )
            for i, row in enumerate(typed.rows)
        ),
        left_out=tuple(sorted(typed.left_out)),
        own={name: typed.get(name) for name in OWN_FIELDS},
    )
