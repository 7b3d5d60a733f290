"""A submission as it was typed, and as it can be stored."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

BLANK = "blank"
#: As long as codes of sections, groups, stations, lots and vials are kept.
LONGEST_CODE = 40
OWN_FIELDS = (
    "own_slope",
    "own_intercept",
    "own_unknown_mg_L",
    "own_iron_percent",
    "own_iron_mg",
)

Typed = str | float | None


class Scale(StrEnum):
    """What a meter shows."""

    PERCENT_T = "percent_T"
    ABSORBANCE = "absorbance"

    @property
    def label(self) -> str:
        """The scale in words."""
        return {
            Scale.PERCENT_T: "percent transmittance",
            Scale.ABSORBANCE: "absorbance",
        }[self]


@dataclass(frozen=True, slots=True)
class RawReading:
    """One reading as typed; `value` is empty where nothing was typed."""

    tube: str
    value: Typed
    scale: Scale = Scale.PERCENT_T
    replicate: Typed = 1
    taken_mL: Typed = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RawSubmission:
    """A submission as typed; `left_out` names tubes that were not measured."""

    station: str
    standard_mass_g: Typed
    unknown_mass_g: Typed
    readings: tuple[RawReading, ...]
    vial: str = ""
    left_out: tuple[str, ...] = ()
    own: Mapping[str, Typed] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class AdmittedReading:
    """One reading that can be stored."""

    position: int
    tube: str
    replicate: int
    value: float
    taken_mL: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Admitted:
    """A submission that can be stored: numbers read, codes as on record."""

    station: str
    vial: str
    scale: Scale
    standard_mass_g: float
    unknown_mass_g: float
    readings: tuple[AdmittedReading, ...]
    own: Mapping[str, str]


def fold(code: str) -> str:
    """Return a code without what people leave out or add when they type it."""
    return "".join(sign for sign in code.casefold() if sign.isalnum())


def is_empty(typed: Typed) -> bool:
    """Whether nothing was typed."""
    return typed is None or (isinstance(typed, str) and not typed.strip())
