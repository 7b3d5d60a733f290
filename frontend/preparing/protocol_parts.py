"""What boxes a protocol has: their names, labels and kinds, part by part."""

from collections.abc import Mapping

from frontend.preparing.boxes import Box, Choices
from frontend.preparing.protocol_boxes import MAKE_UP, TAKE
from results.policy.typed import Scale

_DEVICES: Choices = tuple(
    (name, name)
    for name in (
        "pipette",
        "graduated pipette",
        "piston pipette",
        "burette",
        "cylinder",
    )
)
_WHAT: Choices = (("", "–"), (MAKE_UP, "make up to"), (TAKE, "take"))
_ROLES: Choices = (
    ("reductant", "reductant"),
    ("ligand", "ligand"),
    ("buffer", "buffer"),
)
_SCALES: Choices = tuple((scale.value, scale.label) for scale in Scale)
COLUMNS: Mapping[str, tuple[tuple[str, str, str, Choices], ...]] = {
    "steps": (
        ("what", "step", "choice", _WHAT),
        ("mL", "mL", "number", ()),
        ("with", "taken with", "choice", _DEVICES),
    ),
    "tubes": (
        ("tube", "tube", "text", ()),
        ("take_mL", "takes, mL", "number", ()),
        ("with", "with", "choice", _DEVICES),
        ("make_up_mL", "flask, mL", "number", ()),
    ),
    "reagents": (
        ("name", "name", "text", ()),
        ("role", "role", "suggest", _ROLES),
        ("volume_mL", "mL", "number", ()),
        ("wait_min", "then wait, min", "number", ()),
        ("note", "note", "text", ()),
        ("caution", "caution", "text", ()),
    ),
}
TITLES = {
    "standard-steps": ("Steps of the standard", "Step"),
    "standards": ("Standards", "Standard"),
    "unknown-steps": ("Steps of the unknown", "Step"),
    "unknown-tubes": ("Tubes of the unknown", "Tube"),
    "reagents": ("Reagents, in the order of adding", "Reagent"),
}
SALT = (
    Box("standard-formula", "Formula of the salt", ""),
    Box("standard-purity", "Purity, as a fraction", "", kind="number"),
    Box("standard-purity_u", "Its standard uncertainty", "", kind="number"),
    Box("standard-mass_g", "Mass to weigh, g", "", kind="number"),
)
UNKNOWN = (Box("unknown-mass_g", "Mass to weigh, g", "", kind="number"),)
READING = (
    Box("wavelength_nm", "Wavelength, nm", "", kind="number"),
    Box("path_cm", "Path, cm", "", kind="number"),
    Box("reading-scale", "Scale of the meters", "", kind="choice", choices=_SCALES),
    Box("reading-step", "Smallest step of the scale", "", kind="number"),
    Box("reading-sd", "Scatter of a reading (standard deviation)", "", kind="number"),
    Box(
        "reading-sd_relative",
        "Further scatter, relative to the reading",
        "",
        kind="number",
        hint="Empty for none.",
    ),
    Box(
        "use_blank",
        "the reagent blank counts as a point of the line",
        "",
        kind="tick",
    ),
)
LIMIT_BOXES = tuple(
    Box(f"limits-{key}-{end}", f"{label}, {word}", "", kind="number")
    for key, label in (
        ("standard_mass_g", "Mass of the salt, g"),
        ("unknown_mass_g", "Mass of the unknown, g"),
        ("percent_T", "Reading, %T"),
        ("absorbance", "Absorbance"),
    )
    for end, word in (("low", "from"), ("high", "to"))
)
RANGE = (
    Box("from_percent", "Iron from, %", "", kind="number"),
    Box("to_percent", "Iron to, %", "", kind="number"),
)
ALONE = (
    Box("title", "Title of this version", ""),
    Box(
        "develop_min",
        "Minutes from the last addition until the colour is read",
        "",
        kind="number",
    ),
    Box(
        "cautions",
        "Cautions, one a line",
        "",
        kind="lines",
        hint="The usual ones, with “follow your institution’s safety rules and the "
        "current safety data sheet”, are shown at the bench in any case.",
    ),
)
