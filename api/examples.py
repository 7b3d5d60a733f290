"""Invented examples for the description of the API."""

from typing import Any

SLIP: dict[str, Any] = {"slip_code": "ACD-3FH-KMX"}
PASSWORD: dict[str, Any] = {"username": "m.oduya", "password": "four-warm-flasks"}
TOKEN: dict[str, Any] = {
    "token": "eyJyb2xlIjoiZ3JvdXAifQ:1vA2bC:3dE4fG",
    "expires_at": "2025-10-07T22:05:00Z",
}
GROUP_TOKEN = {**TOKEN, "course": "IRON-1", "section": "A1", "group": "7"}

_PERCENT_T = {
    "1": "87,5",
    "2": "76,0",
    "3": "58,0",
    "4": "44,0",
    "5": "25,5",
    "U1": "57,5",
    "U2": "58,0",
}
SUBMISSION: dict[str, Any] = {
    "station": "4",
    "vial": "417",
    "standard_mass_g": "0,2104",
    "unknown_mass_g": 0.2517,
    "readings": [
        {"tube": tube, "percent_T": value} for tube, value in _PERCENT_T.items()
    ],
    "own_slope": "0.198",
    "own_iron_percent": "12.0",
}
RECEIPT: dict[str, Any] = {
    "submission_id": 512,
    "revision": 1,
    "received_at": "2025-10-07T14:32:10Z",
    "is_late": False,
    "state": "waiting",
}
OWN_SUBMISSION = {**RECEIPT, "state": "computed", "is_current": True}
LINE: dict[str, Any] = {
    "points": [
        {"tube": "1", "kind": "standard", "mg_L": 0.299, "absorbance": 0.058},
        {"tube": "U1", "kind": "unknown", "mg_L": 1.208, "absorbance": 0.2403},
    ],
    "slope_L_per_mg": 0.1979,
    "intercept_absorbance": 0.0012,
    "residual_sd_absorbance": 0.0016,
    "suspect_tubes": ["3"],
    "without": {
        "tube": "3",
        "slope_L_per_mg": 0.1986,
        "intercept_absorbance": 0.0004,
    },
}
FINDING: dict[str, Any] = {
    "code": "tube_off",
    "title": "One standard off the line",
    "sentence": "Tube 3 does not sit with the others. Read it once more.",
    "tube": "3",
    "probability": 0.82,
    "stage": "",
    "harmless": False,
    "advice": ["Read the tube again.", "Look at its colour beside its neighbours."],
}
RESULT: dict[str, Any] = {
    "submission": OWN_SUBMISSION,
    "line": LINE,
    "slope_se_L_per_mg": 0.0007,
    "r_squared": 0.99996,
    "n_standards": 5,
    "n_unknowns": 2,
    "no_answer_because": "",
    "findings": [FINDING],
    "iron": {
        "iron_percent": 12.04,
        "standard_uncertainty": 0.09,
        "low": 11.75,
        "high": 12.33,
    },
    "iron_note": "",
}
SECTION: dict[str, Any] = {
    "section_id": 3,
    "section": "A1",
    "title": "Tuesday afternoon",
    "course": "IRON-1",
    "opens_at": "2025-10-07T13:00:00Z",
    "due_at": "2025-10-07T17:00:00Z",
    "closes_at": "2025-10-14T17:00:00Z",
}
COURSE: dict[str, Any] = {
    "course": "IRON-1",
    "title": "Quantitative analysis",
    "term": "autumn 2025",
    "college": "Lindmoor College",
    "is_coordinator": True,
    "sections": [SECTION],
}
GROUP_ROW: dict[str, Any] = {
    "group_id": 31,
    "group": "7",
    "students": ["Ines Tavares", "Odd Berge"],
    "state": "computed",
    "visit": {"urgency": 3, "why": "One standard off the line"},
    "revision": 1,
    "received_at": "2025-10-07T14:32:10Z",
    "is_late": False,
    "station": "4",
    "vial": "417",
    "lot": "L2",
    "n_standards": 5,
    "slope_L_per_mg": 0.1979,
    "slope_se_L_per_mg": 0.0007,
    "intercept_absorbance": 0.0012,
    "residual_sd_absorbance": 0.0016,
    "iron_percent": 12.04,
    "standard_uncertainty": 0.09,
    "low": 11.75,
    "high": 12.33,
    "recovery": {
        "ratio": 1.0033,
        "assigned_percent": 12.0,
        "u_assigned_percent": 0.04,
    },
    "no_answer_because": "",
    "parked_error": "",
    "findings": [FINDING],
}
GROUP_DETAIL: dict[str, Any] = {
    "course": "IRON-1",
    "section_id": 3,
    "section": "A1",
    "row": {**GROUP_ROW, "line": LINE},
    "revisions": [
        {
            **OWN_SUBMISSION,
            "source": "API",
            "station": "4",
            "vial": "417",
            "scale": "percent_T",
            "standard_mass_g": 0.2104,
            "unknown_mass_g": 0.2517,
            "own": {
                "own_slope": "0.198",
                "own_intercept": "",
                "own_unknown_mg_L": "",
                "own_iron_percent": "12.0",
                "own_iron_mg": "",
            },
            "readings": [
                {"tube": "1", "replicate": 1, "value": 87.5, "taken_mL": None}
            ],
        }
    ],
}
ANSWER_ROW: dict[str, Any] = {
    "course": "IRON-1",
    "section_id": 3,
    "section": "A1",
    "group_id": 31,
    "group": "7",
    "revision": 1,
    "state": "computed",
    "station": "4",
    "lot": "L2",
    "slope": 0.1979,
    "slope_se": 0.0007,
    "intercept": 0.0012,
    "residual_sd": 0.0016,
    "iron_percent": 12.04,
    "standard_uncertainty": 0.09,
    "low": 11.75,
    "high": 12.33,
    "recovery": 1.0033,
    "top_finding": "tube_off",
    "probability": 0.82,
    "findings": ["tube_off"],
    "worked_finding": "",
}
_SLOPE = {"n": 12, "median": 0.1968, "sd": 0.0021}
_RECOVERY = {"n": 12, "median": 0.997, "sd": 0.011}
SECTION_SUMMARY: dict[str, Any] = {
    **SECTION,
    "course_title": "Quantitative analysis",
    "may_see_assigned": True,
    "n_submitted": 12,
    "n_waiting": 0,
    "n_to_visit": 1,
    "recovery": _RECOVERY,
    "slope_L_per_mg": _SLOPE,
    "groups": [GROUP_ROW],
}
COURSE_SUMMARY: dict[str, Any] = {
    "course": "IRON-1",
    "title": "Quantitative analysis",
    "term": "autumn 2025",
    "college": "Lindmoor College",
    "n_groups": 12,
    "n_submitted": 12,
    "n_waiting": 0,
    "recovery": _RECOVERY,
    "slope_L_per_mg": _SLOPE,
    "sections": [
        {
            "section_id": 3,
            "section": "A1",
            "title": "Tuesday afternoon",
            "n_groups": 12,
            "n_submitted": 12,
            "n_computed": 12,
            "n_waiting": 0,
            "n_to_visit": 1,
            "recovery": _RECOVERY,
            "recoveries": [1.0033, 0.991],
        }
    ],
    "slopes": [
        {
            "group_id": 31,
            "group": "7",
            "section": "A1",
            "station": "4",
            "slope_L_per_mg": 0.1979,
            "intercept_absorbance": 0.0012,
        }
    ],
    "findings": [
        {
            "code": "tube_off",
            "title": "One standard off the line",
            "n_groups": 1,
            "is_worked": False,
        }
    ],
    "parked": [],
}
_SPANS = {
    "standard_mass_g": {"low": 0.0105, "high": 4.2},
    "unknown_mass_g": {"low": 0.0125, "high": 5.0},
    "percent_T": {"low": 0.0, "high": 120.0},
    "absorbance": {"low": -0.2, "high": 3.5},
}
BENCH_SHEET: dict[str, Any] = {
    "course": "IRON-1",
    "course_title": "Quantitative analysis",
    "section": "A1",
    "group": "7",
    "vial": "417",
    "door": "open",
    "opens_at": "2025-10-07T13:00:00Z",
    "due_at": "2025-10-07T17:00:00Z",
    "closes_at": "2025-10-14T17:00:00Z",
    "protocol_version": 1,
    "wavelength_nm": 510.0,
    "path_cm": 1.0,
    "formula": "Fe(NH4)2(SO4)2(H2O)6",
    "develop_min": 10.0,
    "nominal_standard_mass_g": 0.21,
    "nominal_unknown_mass_g": 0.25,
    "limits": _SPANS,
    "standard_flasks": [
        {"take_mL": None, "make_up_mL": 500.0, "delivery": ""},
        {"take_mL": 25.0, "make_up_mL": None, "delivery": "pipette"},
        {"take_mL": None, "make_up_mL": 250.0, "delivery": ""},
    ],
    "unknown_flasks": [
        {"take_mL": None, "make_up_mL": 250.0, "delivery": ""},
        {"take_mL": 10.0, "make_up_mL": None, "delivery": "pipette"},
        {"take_mL": None, "make_up_mL": 250.0, "delivery": ""},
    ],
    "tubes": [
        {
            "tube": "1",
            "kind": "standard",
            "take_mL": 5.0,
            "make_up_mL": 100.0,
            "delivery": "burette",
        }
    ],
    "stations": [
        {
            "station": "4",
            "place": "window bench",
            "scale": "percent_T",
            "step": 0.5,
            "in_service": True,
        }
    ],
    "reagents": [
        {"name": "1,10-phenanthroline", "volume_mL": 10.0, "role": "gives the colour"}
    ],
    "cautions": [
        "Wear goggles and gloves.",
        "Follow your institution's safety rules and the current safety data sheets.",
    ],
    "typed_before": None,
}
