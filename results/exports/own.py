"""Everything kept about a group, for its own people to take away.

What the group may not see yet is not in it: the same summaries decide as for its
pages.
"""

from dataclasses import asdict
from datetime import datetime
from typing import Any

from results.models import DraftEdit, Group, Issue, Submission
from results.policy.typed import OWN_FIELDS
from results.summaries.group import own_result
from results.summaries.own_grade import own_grade


def own_data(group_id: int, *, now: datetime) -> dict[str, Any]:
    """Return a group's own data: people, submissions, results, drafts, grade."""
    group = Group.objects.select_related("section__course").get(pk=group_id)
    grade = own_grade(group_id, now=now)
    return {
        "made_at": now,
        "course": group.section.course.code,
        "section": group.section.code,
        "group": group.code,
        "students": list(group.students.order_by("name").values("name", "number")),
        "slip_issued_at": group.slip_issued_at,
        "vials": list(
            Issue.objects.filter(group=group)
            .order_by("issued_at")
            .values("vial__code", "issued_at", "ended_at")
        ),
        "submissions": [
            _submission(one, now)
            for one in group.submissions.order_by("revision").select_related(
                "station", "vial"
            )
        ],
        "typed_on_phones": list(
            DraftEdit.objects.filter(draft__group=group)
            .order_by("edited_at", "pk")
            .values("field", "value", "phone", "edited_at", "sent_with")
        ),
        "grade": asdict(grade) if grade else None,
    }


def _submission(submission: Submission, now: datetime) -> dict[str, Any]:
    result = own_result(submission.group_id, now=now, revision=submission.revision)
    return {
        "revision": submission.revision,
        "received_at": submission.received_at,
        "is_late": submission.is_late,
        "sent_by": submission.source,
        "station": submission.station.code,
        "vial": submission.vial.code if submission.vial else None,
        "scale": submission.scale,
        "standard_mass_g": submission.standard_mass_g,
        "unknown_mass_g": submission.unknown_mass_g,
        "readings": list(
            submission.readings.order_by("position").values(
                "tube", "replicate", "value", "taken_mL"
            )
        ),
        "own_answer": {name: getattr(submission, name) for name in OWN_FIELDS},
        "result": asdict(result) if result else None,
    }
