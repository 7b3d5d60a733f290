"""What changed from one version of a protocol to the next, in words."""

from collections.abc import Iterator, Mapping
from typing import Any

_Document = Mapping[str, Any]
_NOTHING = "none"
_FIELDS = {
    ("title",): "title",
    ("analyte",): "analyte",
    ("standard", "formula"): "salt",
    ("standard", "purity"): "purity of the salt",
    ("standard", "purity_u"): "standard uncertainty of the purity",
    ("standard", "mass_g"): "mass of the salt, g",
    ("unknown", "mass_g"): "mass of the unknown, g",
    ("wavelength_nm",): "wavelength, nm",
    ("path_cm",): "path, cm",
    ("use_blank",): "the blank as a point of the line",
    ("reading", "scale"): "scale of the readings",
    ("reading", "step"): "step of the scale",
    ("reading", "sd"): "scatter of a reading",
    ("reading", "sd_relative"): "scatter that grows with the reading",
    ("develop_min",): "minutes until the colour is read",
    ("tolerances",): "tolerances",
    ("limits",): "plausible values",
}
_CHAINS = {"standard": "chain of the standard", "unknown": "chain of the unknown"}
_DEFAULTS: Mapping[tuple[str, ...], Any] = {("use_blank",): False}


def differences(before: _Document, after: _Document) -> tuple[str, ...]:
    """Return every difference between two documents, one sentence each.

    Both must have been admitted as protocols once.
    """
    told = [
        *_of_fields(before, after),
        *_of_chains(before, after),
        *_of_tubes("standard", before["standards"], after["standards"]),
        *_of_tubes("unknown", before["unknown"]["tubes"], after["unknown"]["tubes"]),
        *_of_reagents(before, after),
        *_of_cautions(before, after),
    ]
    return tuple(told)


def _of_fields(before: _Document, after: _Document) -> Iterator[str]:
    for path, label in _FIELDS.items():
        yield from _changed(label, _at(before, path), _at(after, path))


def _at(document: _Document, path: tuple[str, ...]) -> Any:
    value: Any = document
    for key in path:
        value = value.get(key) if isinstance(value, Mapping) else None
    return _DEFAULTS.get(path) if value is None else value


def _changed(label: str, before: Any, after: Any) -> Iterator[str]:
    if before == after:
        return
    if isinstance(before, Mapping) or isinstance(after, Mapping):
        old = before if isinstance(before, Mapping) else {}
        new = after if isinstance(after, Mapping) else {}
        for key in dict.fromkeys([*old, *new]):
            yield from _changed(f"{label}, {key}", old.get(key), new.get(key))
        return
    yield f"{_first_large(label)}: {_written(before)} → {_written(after)}"


def _written(value: Any) -> str:
    if value is None or value == "":
        return _NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.10g}"
    if isinstance(value, list):
        return " to ".join(_written(one) for one in value)
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_written(one)}" for key, one in value.items())
    return str(value)


def _first_large(text: str) -> str:
    return text[:1].upper() + text[1:]


def _of_chains(before: _Document, after: _Document) -> Iterator[str]:
    for side, label in _CHAINS.items():
        old, new = (_chain(doc[side]["steps"]) for doc in (before, after))
        yield from _changed(label, old, new)


def _chain(steps: list[Mapping[str, Any]]) -> str:
    return ", ".join(
        f"take {step['take_mL']:g} mL ({step.get('with', 'pipette')})"
        if "take_mL" in step
        else f"make up to {step['make_up_mL']:g} mL"
        for step in steps
    )


def _of_tubes(
    kind: str, before: list[Mapping[str, Any]], after: list[Mapping[str, Any]]
) -> Iterator[str]:
    old, new = ({tube["tube"]: _tube(tube) for tube in doc} for doc in (before, after))
    for label in dict.fromkeys([*old, *new]):
        name = f"{kind} {label}"
        if label not in new:
            yield f"{_first_large(name)} left out, formerly {old[label]}"
        elif label not in old:
            yield f"{_first_large(name)} added: {new[label]}"
        else:
            yield from _changed(name, old[label], new[label])
    if list(old) != list(new) and sorted(old) == sorted(new):
        yield f"Order of the {kind} tubes: {', '.join(old)} → {', '.join(new)}"


def _tube(tube: Mapping[str, Any]) -> str:
    return (
        f"{tube['take_mL']:g} mL ({tube.get('with', 'pipette')}) to "
        f"{tube['make_up_mL']:g} mL"
    )


def _of_reagents(before: _Document, after: _Document) -> Iterator[str]:
    old, new = (
        {reagent["name"]: reagent for reagent in doc.get("reagents", [])}
        for doc in (before, after)
    )
    for name in dict.fromkeys([*old, *new]):
        if name not in new:
            yield f"Reagent left out: {name}"
        elif name not in old:
            yield f"Reagent added: {name}, {new[name]['volume_mL']:g} mL"
        else:
            yield from _changed(name, old[name], new[name])
    if list(old) != list(new) and sorted(old) == sorted(new):
        yield f"Order of the reagents: {', '.join(old)} → {', '.join(new)}"


def _of_cautions(before: _Document, after: _Document) -> Iterator[str]:
    old, new = (doc.get("cautions", []) for doc in (before, after))
    yield from (f"Caution left out: {one}" for one in old if one not in new)
    yield from (f"Caution added: {one}" for one in new if one not in old)
