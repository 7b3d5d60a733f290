"""Invented grades, as examples in the API's description."""

from typing import Any

_PART: dict[str, Any] = {
    "name": "accuracy",
    "points": 8.0,
    "max_points": 10.0,
    "reason": "2.41 % from the assigned value: 8 of 10 points.",
}
_LOST = {
    "lost_to_measurement": 2.0,
    "lost_to_arithmetic": 2.0,
    "lost_in_handing_in": 0.0,
}
_RECHECK: dict[str, Any] = {
    "text": "Tube 3 was read twice.",
    "asked_at": "2025-10-16T09:12:00Z",
    "answer": "Seen on the page; the second reading counts, 9 points.",
    "answered_at": "2025-10-16T15:40:00Z",
}
GRADE: dict[str, Any] = {
    "group_id": 12,
    "group": "3",
    "students": ["P. Arden", "M. Okoye"],
    "grade_state": "released",
    "version": 3,
    "look": [],
    "parts": [_PART],
    **_LOST,
    "suggested_points": 16.0,
    "final_points": 16.0,
    "max_points": 20.0,
    "set_by_hand": False,
    "reason": "",
    "comment": "2 points went at the bench, 2 on paper.",
    "accepted_by": "ben",
    "accepted_at": "2025-10-14T18:02:00Z",
    "released_at": "2025-10-15T08:00:00Z",
    "proposal": None,
    "rechecks": [_RECHECK],
}
GRADE_HISTORY: dict[str, Any] = {
    "course": "QA-1",
    "section": "T2",
    "group_id": 12,
    "group": "3",
    "changes": [
        {
            "at": "2025-10-14T18:02:00Z",
            "by": "ben",
            "kind": "accepted",
            "before": None,
            "after": 16.0,
            "why": "",
        }
    ],
}
OWN_GRADE: dict[str, Any] = {
    "is_released": True,
    "grade": {
        "points": 16.0,
        "max_points": 20.0,
        "parts": [
            {
                **_PART,
                "reason": "8 of 10 points for closeness, recomputed from the readings.",
            }
        ],
        "by_hand": 0.0,
        **_LOST,
        "comment": "2 points went at the bench, 2 on paper.",
        "released_at": "2025-10-15T08:00:00Z",
        "rechecks": [_RECHECK],
    },
}
