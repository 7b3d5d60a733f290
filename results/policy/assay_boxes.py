"""Kinds of records of a lot's content, and the numbers that each asks for."""

from dataclasses import dataclass
from enum import StrEnum

_MOST_PERCENT = 100.0


class AssayKind(StrEnum):
    """How a lot's content became known."""

    TITRATION = "titration"
    PERCENT = "percent"
    MAKE_UP = "make_up"
    CERTIFICATE = "certificate"
    WITHDRAWN = "withdrawn"

    @property
    def label(self) -> str:
        """The kind in words."""
        return {
            AssayKind.TITRATION: "Titrations, from masses and titres",
            AssayKind.PERCENT: "Replicate results in % iron",
            AssayKind.MAKE_UP: "Make-up by weight",
            AssayKind.CERTIFICATE: "A certificate’s value",
            AssayKind.WITHDRAWN: "Withdrawn",
        }[self]

    @property
    def columns(self) -> tuple[str, ...]:
        """What is typed of every single result; nothing where there are none."""
        return {
            AssayKind.TITRATION: ("mass_g", "titre_mL"),
            AssayKind.PERCENT: ("iron_percent",),
        }.get(self, ())


@dataclass(frozen=True, slots=True)
class Box:
    """One number of a record: its name, how it is asked for, and its limits.

    Attributes
    ----------
    usual : str
        What is put in for who types nothing; "" if the number is needed, "-" if
        there may be none.
    """

    name: str
    label: str
    low: float
    high: float
    usual: str = ""
    hint: str = ""
    above: bool = False


_BALANCE = Box(
    "balance_u_g", "Standard uncertainty of a weighing, g", 0, 10, "0.0002",
    "By difference; 0.0002 g is usual for a four-place balance.",
)  # fmt: skip
_METHOD = (
    Box(
        "method_sd", "Standard deviation of the method, % iron", 0, 100, "-",
        "Of a single result, from earlier lots; needed if there is one result only.",
        above=True,
    ),
    Box(
        "method_df", "Its degrees of freedom", 1, 1e6, "-",
        "How many results stand behind it, less the lots; empty: simply relied on.",
    ),
)  # fmt: skip

BOXES: dict[AssayKind, tuple[Box, ...]] = {
    AssayKind.TITRATION: (
        Box("titrant_mol_L", "Titrant, mol/L", 0, 10, above=True),
        Box("u_titrant_mol_L", "Its standard uncertainty, mol/L", 0, 1),
        Box("blank_mL", "Blank, mL", -10, 100, "0"),
        Box(
            "burette_limit_mL", "The ± on the burette, mL", 0, 1, "0.05",
            "Taken as triangular; 0.05 mL on 50 mL of class A.",
        ),
        _BALANCE,
        *_METHOD,
    ),
    AssayKind.PERCENT: (
        Box(
            "u_shared_percent", "Standard uncertainty shared by all, % of the value",
            0, 100, "", "Titrant and weighing: what all results have in common.",
        ),
        *_METHOD,
    ),
    AssayKind.MAKE_UP: (
        Box("salt_g", "Assayed salt, g", 0, 1e5, above=True),
        Box("purity", "Its purity, g/g", 0, 1.1, "", "Such as 0.998.", above=True),
        Box("u_purity", "Standard uncertainty of the purity, g/g", 0, 1),
        Box("diluent_g", "Diluent, g", 0, 1e6),
        Box(
            "water_percent", "Water taken up since, % of the lot", -50, 50, "0",
            "Below zero if it has dried.",
        ),
        Box("u_water_percent", "Its standard uncertainty, %", 0, 50, "0"),
        _BALANCE,
    ),
    AssayKind.CERTIFICATE: (
        Box("iron_percent", "Iron content, % by mass", 0, 100, above=True),
        Box("expanded", "Expanded uncertainty U, % by mass", 0, 100),
        Box("k", "Coverage factor k", 1, 20, "2"),
    ),
}  # fmt: skip

#: What is typed of a single result.
RESULT_BOXES = {
    "mass_g": Box("mass_g", "sample, g", 0, 100, above=True),
    "titre_mL": Box("titre_mL", "titre, mL", 0, 1000, above=True),
    "iron_percent": Box("iron_percent", "iron, %", 0, _MOST_PERCENT, above=True),
}
