"""A protocol's document read into rules: its scheme, limits, reagents, cautions."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from results.policy.kept import unkept
from results.policy.language import tell
from results.policy.refusals import NotAdmitted, Problem
from results.science.dilution import Scheme, SchemeError, parse_scheme

# Where nobody is there to type it again, a mass ten times too large is admitted:
# the findings can explain it. A thousand times is a unit typed for another.
_MASS_SPAN = 20.0
# Minutes until the colour is full, as most handouts have them: common practice.
_DEVELOP_MIN = 15
# No volume, time or reading is near it; whole numbers can be longer than any float.
_BEYOND = 1e12
_LIMITS_BY_SCALE = {"percent_T": (0.0, 120.0), "absorbance": (-0.2, 3.5)}


@dataclass(frozen=True, slots=True)
class Span:
    """Plausible values: above `low` (or at it, unless it is zero), up to `high`."""

    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether a value is plausible; nothing measured here is exactly zero."""
        return self.low <= value <= self.high and value != 0

    def joined(self, other: "Span") -> "Span":
        """Return the span from the lower of both lows to the higher of both highs."""
        return Span(min(self.low, other.low), max(self.high, other.high))

    def __str__(self) -> str:
        return tell("{low:g} to {high:g}", low=self.low, high=self.high)


@dataclass(frozen=True, slots=True)
class Reagent:
    """One reagent of the colour development, in the order of adding.

    Attributes
    ----------
    role : str
        What it does: ``reductant``, ``ligand`` and ``buffer`` are known by name.
    wait_min : float
        Minutes to wait before the next reagent; 0 for none.
    note, caution : str
        What to do next, and what to mind, in the protocol's own words.
    """

    name: str
    volume_mL: float
    role: str
    wait_min: float = 0.0
    note: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True)
class ProtocolRules:
    """What the bench needs to know of a protocol.

    Attributes
    ----------
    develop_min : float
        Minutes from the last addition until the colour is read.
    standard_mass_g, unknown_mass_g : Span
        Plausible masses.
    percent_T, absorbance : Span
        Plausible readings on either scale.
    """

    scheme: Scheme
    standard_mass_g: Span
    unknown_mass_g: Span
    percent_T: Span
    absorbance: Span
    reagents: tuple[Reagent, ...]
    cautions: tuple[str, ...]
    develop_min: float

    def with_wide_masses(self) -> "ProtocolRules":
        """Return the rules for masses that nobody can type again."""
        return replace(
            self,
            standard_mass_g=self.standard_mass_g.joined(
                _around(self.scheme.standard_mass_g)
            ),
            unknown_mass_g=self.unknown_mass_g.joined(
                _around(self.scheme.unknown_mass_g)
            ),
        )


def read_protocol(document: Mapping[str, Any]) -> ProtocolRules:
    """Read a protocol's document.

    Raises
    ------
    NotAdmitted
        With every problem of the document, each with its place.
    """
    problems: list[Problem] = list(unkept(document))
    if problems:
        raise NotAdmitted(problems)
    scheme: Scheme | None = None
    try:
        scheme = parse_scheme(document)
    except SchemeError as error:
        problems += [
            Problem(tuple(problem.path.strip("/").split("/")), problem.message)
            for problem in error.problems
        ]
    spans = _read_spans(document, scheme, problems)
    reagents = _read_reagents(document.get("reagents", []), problems)
    cautions = document.get("cautions", [])
    if not isinstance(cautions, list) or not all(isinstance(c, str) for c in cautions):
        problems.append(Problem(("cautions",), "Write a list of sentences."))
    develop_min = _as_number(document.get("develop_min", _DEVELOP_MIN))
    if not develop_min >= 0:
        problems.append(Problem(("develop_min",), "Write the minutes to wait."))
    if problems or scheme is None:
        raise NotAdmitted(problems)
    return ProtocolRules(
        scheme=scheme,
        **spans,
        reagents=reagents,
        cautions=tuple(cautions),
        develop_min=develop_min,
    )


def _around(nominal_mass_g: float) -> Span:
    return Span(nominal_mass_g / _MASS_SPAN, nominal_mass_g * _MASS_SPAN)


def _read_spans(
    document: Mapping[str, Any], scheme: Scheme | None, problems: list[Problem]
) -> dict[str, Span]:
    defaults = dict(_LIMITS_BY_SCALE)
    if scheme is not None:
        for key in ("standard_mass_g", "unknown_mass_g"):
            wide = _around(getattr(scheme, key))
            defaults[key] = (wide.low, wide.high)
    limits = document.get("limits", {})
    if not isinstance(limits, Mapping):
        problems.append(Problem(("limits",), "Write an object of [low, high] pairs."))
        limits = {}
    spans = {}
    for key, (low, high) in defaults.items():
        pair = limits.get(key, [low, high])
        if not (
            isinstance(pair, list)
            and len(pair) == len(("low", "high"))
            and _as_number(pair[0]) < _as_number(pair[1])
        ):
            problems.append(
                Problem(("limits", key), "Write [low, high], the lower number first.")
            )
            continue
        spans[key] = Span(float(pair[0]), float(pair[1]))
    return spans


def _read_reagents(items: Any, problems: list[Problem]) -> tuple[Reagent, ...]:
    if not isinstance(items, list):
        problems.append(Problem(("reagents",), "Write a list, in order of adding."))
        return ()
    read = (
        _read_reagent(("reagents", i), item, problems) for i, item in enumerate(items)
    )
    return tuple(reagent for reagent in read if reagent is not None)


def _read_reagent(
    where: tuple[str, int], item: Any, problems: list[Problem]
) -> Reagent | None:
    if not (
        isinstance(item, Mapping)
        and isinstance(item.get("name"), str)
        and _as_number(item.get("volume_mL")) > 0
    ):
        problems.append(Problem(where, "Give a name and a volume_mL above 0."))
        return None
    wait_min = _as_number(item.get("wait_min", 0))
    if not wait_min >= 0:
        problems.append(
            Problem((*where, "wait_min"), "Write the minutes before the next reagent.")
        )
        return None
    return Reagent(
        name=item["name"],
        volume_mL=float(item["volume_mL"]),
        wait_min=wait_min,
        **{key: str(item.get(key, "")) for key in ("role", "note", "caution")},
    )


def _as_number(value: Any) -> float:
    """Return the value as a number, or NaN, which no comparison lets through."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return math.nan
    return float(value) if abs(value) < _BEYOND else math.nan
