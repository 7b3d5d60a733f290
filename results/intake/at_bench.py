"""What is on record about a group's bench when a submission of it arrives."""

import json
from dataclasses import dataclass, fields
from datetime import datetime
from functools import lru_cache

from django.db import connection

from results.models import Group
from results.policy.protocol import ProtocolRules, read_protocol
from results.policy.refusals import NoProtocol

_MOST_PROTOCOLS = 64
# Everything of the group's in one statement: in a rush before a deadline, the time of
# a submission is the number of its statements.
_STATEMENT = """
SELECT section.id AS section_id, section.opens_at > %s AS is_early,
       section.closes_at <= %s AS is_closed, section.due_at < %s AS is_late,
       course.id AS course_id, course.code AS course_code, course.vial_labels_checked,
       COALESCE(protocol.id, 0) AS protocol_id,
       CAST(protocol.document AS text) AS document,
       (SELECT id FROM results_station
         WHERE course_id = course.id AND code = %s) AS station_id,
       (SELECT vial_id FROM results_issue
         WHERE group_id = of_group.id AND ended_at IS NULL) AS vial_id,
       EXISTS (SELECT 1 FROM results_sheetdraft
                WHERE group_id = of_group.id) AS has_draft,
       standing.id AS standing_id, COALESCE(standing.revision, 0) AS standing_revision,
       (SELECT id FROM results_submission
         WHERE group_id = of_group.id AND idempotency_key = %s) AS earlier_id,
       EXISTS (SELECT 1 FROM results_pendingrecompute
                WHERE claimed_at IS NULL AND parked_at IS NULL AND attempts = 0
              ) AS others_wait
  FROM results_group of_group
  JOIN results_section section ON section.id = of_group.section_id
  JOIN results_course course ON course.id = section.course_id
  LEFT JOIN results_protocol protocol ON protocol.id = (
       SELECT newest.id FROM results_protocol newest
        WHERE newest.course_id = course.id ORDER BY newest.version DESC LIMIT 1)
  LEFT JOIN results_submission standing
       ON standing.group_id = of_group.id AND standing.is_current
 WHERE of_group.id = %s
"""


@dataclass(frozen=True, slots=True)
class AtBench:
    """A group's bench as it is on record, with the group's row locked.

    Attributes
    ----------
    is_early, is_closed, is_late : bool
        Whether the section has not opened yet, has closed, has passed its time due.
    protocol_id : int
        The protocol in force; 0 while there is none.
    station_id : int or None
        The station whose code was typed just so.
    vial_id : int or None
        The vial that the group holds.
    has_draft : bool
        Whether its phones have typed on a sheet.
    standing_id, standing_revision : int or None, int
        Its last submission.
    earlier_id : int or None
        Its submission under the key of this request.
    others_wait : bool
        Whether submissions wait that no worker has taken yet.
    """

    section_id: int
    is_early: bool
    is_closed: bool
    is_late: bool
    course_id: int
    course_code: str
    vial_labels_checked: bool
    protocol_id: int
    document: str | None
    station_id: int | None
    vial_id: int | None
    has_draft: bool
    standing_id: int | None
    standing_revision: int
    earlier_id: int | None
    others_wait: bool

    def protocol(self) -> ProtocolRules:
        """Return what the protocol in force says.

        Raises
        ------
        NoProtocol
            The course has none.
        """
        if self.document is None:
            raise NoProtocol(self.course_code)
        return _rules_of(self.document)


_TRUTHS = [one for one in fields(AtBench) if one.type is bool]


def look_at_bench(
    *, group_id: int, station: str, idempotency_key: str, now: datetime
) -> AtBench:
    """Lock a group's row, under which its revisions are numbered, and look around.

    To be called within a transaction; one statement, and one for the lock.
    """
    # A statement of its own: what waited for a lock still sees the rows of before.
    Group.objects.lock(group_id)
    moment = connection.ops.adapt_datetimefield_value(now)
    # No code has other characters, and not all of them can be asked for.
    code = station if station.isprintable() else ""
    with connection.cursor() as cursor:
        cursor.execute(
            _STATEMENT, [moment, moment, moment, code, idempotency_key, group_id]
        )
        row = cursor.fetchone()
        found = {
            one[0]: value for one, value in zip(cursor.description, row, strict=True)
        }
    # SQLite has numbers for truths, and both databases have none of an empty time.
    truths = {one.name: bool(found[one.name]) for one in _TRUTHS}
    return AtBench(**{**found, **truths})


# By its text, not its key: what is read cannot be of another version.
@lru_cache(maxsize=_MOST_PROTOCOLS)
def _rules_of(document: str) -> ProtocolRules:
    return read_protocol(json.loads(document))
