"""The experiment of the invented course: its scheme, reagents and cautions."""

from collections.abc import Mapping
from typing import Any


def invented_scheme() -> dict[str, Any]:
    """Return the dilution scheme of the invented course.

    Every dilution has a ratio of its own (1:20, 3:50, 1:5), so that a step left out
    of a worked answer can be told from any other. With 1 cm cells the standards
    stand between about 87 and 26 %T, unknowns of 6 to 16 % iron between 64 and 30.
    """
    return {
        "analyte": "Fe",
        "wavelength_nm": 510,
        "path_cm": 1.0,
        "standard": {
            "formula": "Fe(NH4)2(SO4)2(H2O)6",
            "purity": 0.995,
            "purity_u": 0.002,
            "mass_g": 0.1500,
            "steps": [
                {"make_up_mL": 200},
                {"take_mL": 10, "with": "pipette"},
                {"make_up_mL": 200},
            ],
        },
        "standards": [
            {"tube": str(i), "take_mL": taken, "with": "burette", "make_up_mL": 50}
            for i, taken in enumerate((3, 7, 13, 20, 28), start=1)
        ],
        "unknown": {
            "mass_g": 0.3500,
            "steps": [
                {"make_up_mL": 250},
                {"take_mL": 15, "with": "pipette"},
                {"make_up_mL": 250},
            ],
            "tubes": [
                {"tube": f"U{i}", "take_mL": 10, "with": "pipette", "make_up_mL": 50}
                for i in (1, 2, 3)
            ],
        },
        "reading": {"scale": "percent_T", "step": 0.5, "sd": 0.5},
    }


def invented_protocol(scheme: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the whole protocol document: a scheme with all that goes around it.

    Parameters
    ----------
    scheme : mapping, optional
        A scheme document; the invented course's own if missing. What it says itself
        of limits, reagents or cautions stands.
    """
    chosen = invented_scheme() if scheme is None else dict(scheme)
    around = {
        "title": "Iron in a furnace dust by its phenanthroline colour",
        "limits": {
            "standard_mass_g": _about(chosen["standard"]["mass_g"]),
            "unknown_mass_g": _about(chosen["unknown"]["mass_g"]),
            "percent_T": [0.0, 105.0],
            "absorbance": [-0.022, 3.0],
            "unknown_percent_T": [20.0, 65.0],
        },
        "reagents": _reagents(),
        "develop_min": 15,
        "cautions": _cautions(),
    }
    return around | chosen


def _about(mass_g: float) -> list[float]:
    # Five times the spread of honest weighings, so that only slips fall outside.
    margin_g = 0.05
    return [round(max(mass_g - margin_g, mass_g / 2), 4), round(mass_g + margin_g, 4)]


def _reagents() -> list[dict[str, Any]]:
    return [
        {
            "name": "hydroxylamine hydrochloride, 10 % solution",
            "volume_mL": 1,
            "role": "reductant",
            "note": "Mix before the next reagent.",
            "wait_min": 5,
        },
        {
            "name": "1,10-phenanthroline, 0.25 % solution",
            "volume_mL": 3,
            "role": "ligand",
            "note": "A flask that stays colourless has missed it.",
        },
        {
            "name": "sodium acetate, 1 M solution",
            "volume_mL": 4,
            "role": "buffer",
            "note": "Only now, when the iron is reduced.",
        },
    ]


def _cautions() -> list[str]:
    return [
        (
            "Wear eye protection and a coat throughout, and gloves while you handle "
            "the reductant and the ligand."
        ),
        (
            "Hydroxylamine hydrochloride is harmful and can sensitise the skin; "
            "1,10-phenanthroline is toxic if swallowed. Never pipette by mouth."
        ),
        "Stocks are acidified: wipe up spills at once and wash your hands at the end.",
        "Collect all coloured solutions and stocks in the labelled waste container.",
        (
            "Follow your institution's safety rules and the current safety data sheet "
            "for the bottle in front of you. This list is a reminder, not a "
            "substitute. If anything happens, tell your instructor."
        ),
    ]
