"""Invented comparisons, as examples in the API's description."""

from typing import Any

_SENTENCE = (
    "Station 17 reads 3.1 ± 0.7 % high against the other 11 stations (n = 14 groups)."
)
_EFFECT: dict[str, Any] = {
    "level": "17",
    "n": 14,
    "n_set_aside": 1,
    "effect": 3.1,
    "low": 2.4,
    "high": 3.8,
    "median": 3.2,
    "z": 6.2,
    "verdict": "differs",
    "is_firm": True,
    "sentence": _SENTENCE,
    "could_be": ["a cell that is not 1 cm wide"],
    "rests_on": [],
}
STATIONS: dict[str, Any] = {
    "course": "IRON-1",
    "fitted_at": "2025-10-08T06:00:00Z",
    "stations": [
        {
            "station_id": 17,
            "station": "17",
            "place": "by the window",
            "in_service": True,
            "note": "",
            "slope": _EFFECT,
            "recovery": None,
            "curvature": None,
            "history": None,
            "blank": None,
            "sentences": [_SENTENCE],
        }
    ],
}
LOTS: dict[str, Any] = {
    "course": "IRON-1",
    "fitted_at": "2025-10-08T06:00:00Z",
    "lots": [
        {
            "lot_id": 3,
            "lot": "L3",
            "n": 41,
            "assigned_percent": 11.8,
            "u_assigned_percent": 0.04,
            "found_percent": 11.84,
            "u_found_percent": 0.05,
            "spread_percent": 1.4,
            "usual_spread_percent": 1.5,
            "zeta": 0.62,
            "effect": None,
            "proposals": [],
        }
    ],
}
SECTIONS: dict[str, Any] = {
    "course": "IRON-1",
    "fitted_at": "2025-10-08T06:00:00Z",
    "sections": [
        {
            "section_id": 3,
            "section": "A1",
            "title": "Tuesday afternoon",
            "errors": {
                "n": 12,
                "p10": -2.1,
                "p25": -0.9,
                "p50": 0.1,
                "p75": 1.0,
                "p90": 2.2,
            },
            "consistency": {"h": 0.4, "k": 0.9, "h_limit": 2.3, "k_limit": 1.6},
            "recovery": None,
            "slope": None,
            "curvature": None,
        }
    ],
    "cells": [
        {"section": "A1", "station": "17", "n": 3, "error": 0.2, "slope": 3.0},
    ],
}
SLOPES: dict[str, Any] = {
    "course": "IRON-1",
    "points": [
        {
            "group_id": 31,
            "group": "7",
            "section": "A1",
            "station": "17",
            "slope_L_per_mg": 0.2032,
            "intercept_absorbance": 0.0012,
        }
    ],
    "ellipse": None,
}
SLIPS: dict[str, Any] = {
    "course": "IRON-1",
    "n_groups": 120,
    "n_worked": 96,
    "at_the_bench": [
        {
            "code": "tube_off",
            "title": "One standard off the line",
            "n_groups": 9,
            "is_worked": False,
        }
    ],
    "on_paper": [],
    "shared": [],
}
CONTRASTS: dict[str, Any] = {
    "course": "IRON-1",
    "refused": [],
    "contrast": {
        "code": "cannot_separate",
        "sentence": "These stations were never used by one section.",
        "effect": None,
        "low": None,
        "high": None,
    },
}
LOT_VALUES: dict[str, Any] = {
    "lot_id": 3,
    "lot": "L3",
    "values": [
        {
            "iron_percent": 11.8,
            "u_iron_percent": 0.04,
            "valid_from": "2025-09-01T06:00:00Z",
            "reason": "assayed again",
            "assigned_by": "m.oduya",
            "assigned_at": "2025-10-08T09:00:00Z",
        }
    ],
}
VALUE_SENT: dict[str, Any] = {
    "iron_percent": 11.86,
    "u_iron_percent": 0.03,
    "valid_from": "2025-10-07T06:00:00Z",
    "reason": "assayed again after the fourth week",
}
VALUE_PREVIEW: dict[str, Any] = {
    "mark": "5f0c",
    "n_groups": 41,
    "movers": [
        {
            "group_id": 31,
            "section": "A1",
            "group": "7",
            "before": 18.0,
            "after": 19.0,
            "waits": True,
        }
    ],
}
STATION_SERVICE: dict[str, Any] = {
    "station_id": 17,
    "station": "17",
    "place": "by the window",
    "in_service": False,
    "note": "lamp flickers",
    "notes": [
        {
            "in_service": False,
            "note": "lamp flickers",
            "at": "2025-10-08T09:00:00Z",
            "by": "m.oduya",
        }
    ],
}
SCORES: dict[str, Any] = {
    "course": "IRON-1",
    "groups_sigma_pt": 1.4,
    "sections_sigma_pt": None,
    "sections": [],
    "groups": [
        {
            "section_id": 3,
            "section": "A1",
            "group_id": 31,
            "group": "7",
            "n": 1,
            "error": 2.4,
            "u_error": 0.9,
            "u_assigned": 0.3,
            "z_prime": 1.7,
            "zeta": 2.5,
            "judgement": "acceptable",
        }
    ],
}
