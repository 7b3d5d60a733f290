"""The boxes of many stations at once, and of the table of stations."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from frontend.preparing.boxes import Box, Choices, problems_by_box
from results.policy.refusals import Problem
from results.policy.typed import Scale
from results.rosters import TypedStation
from results.summaries.preparing.stations import PreparedStation

_SCALES: Choices = tuple((scale.value, scale.label) for scale in Scale)
_FIELDS = (
    Box("place", "Place", ""),
    Box("scale", "Scale", "", kind="choice", choices=_SCALES),
    Box(
        "step",
        "Smallest step of the scale",
        "",
        kind="number",
        hint="In %T, or in absorbance: half a division counts, too.",
    ),
)
_BULK = (
    Box(
        "codes",
        "Stations",
        "",
        hint="As 1-40, or A1-A12, B3: the number that stands on the meter.",
    ),
    *_FIELDS,
)
USUAL = {"scale": Scale.PERCENT_T.value, "step": "0.5"}


@dataclass(frozen=True, slots=True)
class StationRow:
    """One row of the table."""

    name: str
    station: PreparedStation
    boxes: tuple[Box, ...]


def bulk_form(
    values: Mapping[str, str], problems: Iterable[Problem]
) -> tuple[Box, ...]:
    """Lay out the boxes of many stations."""
    by_box, _ = problems_by_box(problems, [box.name for box in _BULK])
    return tuple(
        replace(box, value=values.get(box.name, ""), problem=by_box.get(box.name, ""))
        for box in _BULK
    )


def station_rows(
    stations: Iterable[PreparedStation],
    typed: Mapping[str, str],
    problems: Iterable[Problem],
) -> tuple[StationRow, ...]:
    """Lay out the table, with what was typed if anything was."""
    rows = [(f"t{one.station_id}", one) for one in stations]
    names = [f"{name}-{box.name}" for name, _ in rows for box in _FIELDS]
    by_box, _ = problems_by_box(problems, names)

    def filled(name: str, one: PreparedStation, box: Box) -> Box:
        key = f"{name}-{box.name}"
        value = getattr(one, box.name)
        stored = f"{value:g}" if isinstance(value, float) else value
        return replace(
            box,
            name=key,
            value=typed.get(key, stored),
            problem=by_box.get(key, ""),
            hint="",
        )

    return tuple(
        StationRow(name, one, tuple(filled(name, one, box) for box in _FIELDS))
        for name, one in rows
    )


def typed_stations(
    stations: Iterable[PreparedStation], typed: Mapping[str, str]
) -> list[tuple[str, TypedStation]]:
    """Return the rows that were sent, each under its name."""
    return [
        (
            name,
            TypedStation(
                one.station_id,
                typed.get(f"{name}-seen", ""),
                {box.name: typed.get(f"{name}-{box.name}", "") for box in _FIELDS},
            ),
        )
        for one in stations
        if f"{(name := f't{one.station_id}')}-place" in typed
    ]
