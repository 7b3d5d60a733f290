"""A protocol's document as what stands in boxes, and back.

A box is named by its place in the document, as ``standards-2-take_mL``. What has no
box (tolerances, the analyte) is kept from the version that was started from.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from results.policy.numbers import NotANumber, read_number

Values = Mapping[str, str]
#: Columns of each list of the document; the words among them, and then the numbers.
STEP_COLUMNS = ("what", "mL", "with")
TUBE_COLUMNS = ("tube", "take_mL", "with", "make_up_mL")
REAGENT_COLUMNS = ("name", "role", "volume_mL", "wait_min", "note", "caution")
LISTS: Mapping[str, tuple[str, ...]] = {
    "standard-steps": STEP_COLUMNS,
    "standards": TUBE_COLUMNS,
    "unknown-steps": STEP_COLUMNS,
    "unknown-tubes": TUBE_COLUMNS,
    "reagents": REAGENT_COLUMNS,
}
MAKE_UP, TAKE = "make_up", "take"
LIMITS = ("standard_mass_g", "unknown_mass_g", "percent_T", "absorbance")
# A device stands in every row, typed or not: it alone fills none.
_FILLS_NO_ROW = frozenset({"with"})
_WORDS = frozenset({"tube", "with", "name", "role", "note", "caution"})
_PLAIN: Mapping[str, tuple[str, ...]] = {
    "standard": ("formula", "purity", "purity_u", "mass_g"),
    "unknown": ("mass_g",),
    "reading": ("scale", "step", "sd", "sd_relative"),
}
_LISTED = ("steps", "tubes")
_PLAIN_WORDS = frozenset({"formula", "scale"})
_TOP = ("wavelength_nm", "path_cm", "develop_min")
# More rows than any handout has; the rest of a longer list is somebody's joke.
MOST_ROWS = 60


def from_document(document: Mapping[str, Any], *, title: str) -> dict[str, str]:
    """Return what stands in the boxes for a document."""
    values = {"title": title}
    for part, keys in _PLAIN.items():
        for key in keys:
            values[f"{part}-{key}"] = _written(document.get(part, {}).get(key))
    for key in _TOP:
        values[key] = _written(document.get(key))
    if document.get("use_blank"):
        values["use_blank"] = "on"
    for name, columns in LISTS.items():
        for i, item in enumerate(_list_of(document, name)):
            row = _step_row(item) if columns is STEP_COLUMNS else item
            values |= {f"{name}-{i}-{key}": _written(row.get(key)) for key in columns}
    values["cautions"] = "\n".join(document.get("cautions", []))
    for key in LIMITS:
        low, high = document.get("limits", {}).get(key, ("", ""))
        values |= {
            f"limits-{key}-low": _written(low),
            f"limits-{key}-high": _written(high),
        }
    return values


def _list_of(document: Mapping[str, Any], name: str) -> Sequence[Mapping[str, Any]]:
    side, _, key = name.partition("-")
    found = document.get(side, {})
    return (found.get(key, []) if key else found) or []


def _step_row(step: Mapping[str, Any]) -> dict[str, Any]:
    if "take_mL" in step:
        return {"what": TAKE, "mL": step["take_mL"], "with": step.get("with", "")}
    return {"what": MAKE_UP, "mL": step.get("make_up_mL")}


def _written(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:.12g}"
    return str(value)


def closed_up(values: Values) -> dict[str, str]:
    """Return the same values with the empty rows of each list left out."""
    kept = {
        name: typed
        for name, typed in values.items()
        if not any(name.startswith(f"{one}-") for one in LISTS)
    }
    for name, columns in LISTS.items():
        for i, row in enumerate(_filled(values, name, columns)):
            kept |= {f"{name}-{i}-{key}": typed for key, typed in row.items()}
    return kept


def _filled(
    values: Values, name: str, columns: tuple[str, ...]
) -> Iterator[dict[str, str]]:
    for i in range(MOST_ROWS):
        row = {key: values.get(f"{name}-{i}-{key}", "").strip() for key in columns}
        if any(typed for key, typed in row.items() if key not in _FILLS_NO_ROW):
            yield row


def n_rows(values: Values, name: str) -> int:
    """Return how many rows of a list are filled; of values that are closed up."""
    return sum(1 for _ in _filled(values, name, LISTS[name]))


def to_document(values: Values, *, base: Mapping[str, Any]) -> dict[str, Any]:
    """Return the document that was typed; what cannot be read stays as typed.

    Parameters
    ----------
    values : mapping
        Closed up, so that the rows of boxes and of the document are the same.
    base : mapping
        The document that was started from.
    """
    document = {key: value for key, value in base.items() if key not in _TYPED_KEYS}
    document.setdefault("analyte", "Fe")
    if title := values.get("title", "").strip():
        document["title"] = title
    for part, keys in _PLAIN.items():
        stood = base.get(part, {})
        document[part] = {
            key: value for key, value in stood.items() if key not in (*keys, *_LISTED)
        } | _read_row(
            {key: values.get(f"{part}-{key}", "").strip() for key in keys},
            words=_PLAIN_WORDS,
        )
    document |= _read_row({key: values.get(key, "").strip() for key in _TOP})
    if values.get("use_blank"):
        document["use_blank"] = True
    for side in ("standard", "unknown"):
        rows = _filled(values, f"{side}-steps", STEP_COLUMNS)
        document[side]["steps"] = [_step(row) for row in rows]
    document["standards"] = _rows(values, "standards")
    document["unknown"]["tubes"] = _rows(values, "unknown-tubes")
    document["reagents"] = _rows(values, "reagents")
    lines = values.get("cautions", "").splitlines()
    document["cautions"] = [line.strip() for line in lines if line.strip()]
    return document | _limits(values, base.get("limits", {}))


_TYPED_KEYS = frozenset(
    {*_PLAIN, *_TOP, "title", "standards", "use_blank", "reagents", "cautions"}
    | {"limits"}
)


def _rows(values: Values, name: str) -> list[dict[str, Any]]:
    rows = _filled(values, name, LISTS[name])
    return [_read_row(row, words=_WORDS) for row in rows]


def _read_row(
    row: Mapping[str, str], words: frozenset[str] = frozenset()
) -> dict[str, Any]:
    return {
        key: typed if key in words else _number(typed)
        for key, typed in row.items()
        if typed
    }


def _step(row: Mapping[str, str]) -> dict[str, Any]:
    volume = _number(row["mL"]) if row["mL"] else None
    if row["what"] == TAKE:
        return {"take_mL": volume, "with": row["with"] or "pipette"}
    return {"make_up_mL": volume}


def _number(typed: str) -> int | float | str:
    try:
        number = read_number(typed)
    except NotANumber:
        return typed
    # As JSON would write it: 500 mL and 500.0 mL are one protocol.
    return int(number) if number == int(number) else number


def _limits(values: Values, base: Any) -> dict[str, Any]:
    kept = dict(base) if isinstance(base, Mapping) else {}
    for key in LIMITS:
        low, high = (values.get(f"limits-{key}-{end}", "") for end in ("low", "high"))
        kept.pop(key, None)
        if low.strip() or high.strip():
            kept[key] = [_number(low.strip()), _number(high.strip())]
    return {"limits": kept} if kept else {}
