"""What a phone's sheet sends of what is typed, and what that costs the database."""

import json

from django.db import connection
from django.urls import reverse

URL = reverse("bench-draft")
PHONES = ("aaaaaaaa", "bbbbbbbb")
# 4 March 2025, 14:00 UTC, by the clock of the phone.
NOW_MS = 1_741_096_800_000
LABEL = "IRON-1/A1/1"
# Statements of a test's own transaction: PostgreSQL locks a row, each has a savepoint.
LOCK = int(connection.features.has_select_for_update)
SAVEPOINT = 2


def typed(client, field, value, *, ago_s=0, phone=PHONES[0], skew_ms=0, **changes):
    now_ms = NOW_MS + skew_ms
    edit = {"field": field, "value": value, "stamp_ms": now_ms - 1000 * ago_s}
    document = {
        "group": LABEL,
        "phone": phone,
        "sent_ms": now_ms,
        "edits": [edit],
        **changes,
    }
    return client.post(
        URL,
        json.dumps(document),
        content_type="application/json",
        headers={"accept": "application/json"},
    )
