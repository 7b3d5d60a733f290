"""Invented examples of how one answer came about."""

from typing import Any

COMPUTATION: dict[str, Any] = {
    "course": "IRON-1",
    "section_id": 3,
    "section": "A1",
    "group_id": 31,
    "group": "7",
    "revision": 1,
    "iron_percent": 12.04,
    "standard_uncertainty": 0.09,
    "low": 11.75,
    "high": 12.33,
    "uses_fieller": False,
    "coverage_factor": 3.18,
    "effective_df": 3.1,
    "class_n": 0,
    "sources": [
        {
            "code": "calibration",
            "title": "the line, with its standards",
            "relative_percent": 0.6,
            "share": 0.64,
        }
    ],
    "details": {
        "moderated_phi": 0.81,
        "moderated_df": 3.0,
        "fieller_g": 0.0002,
        "molar_absorptivity": 11050.0,
        "molar_absorptivity_se": 60.0,
        "mandel_f": 1.4,
        "mandel_p": 0.36,
        "lack_of_fit_f": None,
        "lack_of_fit_p": None,
        "detection_limit_mg_L": 0.06,
        "quantification_limit_mg_L": 0.18,
        "detection_limit_percent": 0.6,
        "quantification_limit_percent": 1.8,
    },
    "parts": [
        {
            "title": "Weighted line",
            "steps": [
                {
                    "title": "Slope",
                    "formula": "b = Sxy / Sxx",
                    "numbers": "1.583 / 8",
                    "value": 0.197875,
                    "unit": "L/mg",
                    "note": "",
                }
            ],
        }
    ],
}
COMPUTATION_CHECK: dict[str, Any] = {
    "trials": 99998,
    "failed": 2,
    "mean": 12.041,
    "sd": 0.11,
    "low": 11.74,
    "high": 12.35,
    "shortest_low": 11.73,
    "shortest_high": 12.34,
    "counts": [14, 52, 31],
    "edges": [11.6, 11.9, 12.2, 12.5],
    "tolerance": 0.05,
    "low_differs": 0.01,
    "high_differs": 0.02,
    "agrees": True,
}
TOLERANCES: dict[str, Any] = {
    "course": "IRON-1",
    "protocol_version": 1,
    "tolerances": [
        {
            "item": "100 mL flask",
            "value": 0.1,
            "unit": "mL",
            "distribution": "triangular",
            "handling_sd": 0.05,
            "standard_uncertainty": 0.065,
            "standard": "ISO 1042 class A",
            "provenance": "quoted from memory of the standard; check before "
            "relying on it",
        }
    ],
}
