"""What is on record about a group's bench when a submission of it arrives."""

import json
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, cast

from results.models import Group, Section
from results.policy.protocol import ProtocolRules, read_protocol
from results.policy.refusals import NoProtocol

_MOST_PROTOCOLS = 64
# Everything of the group's in one statement: in a rush before a deadline, the time of
# a submission is the number of its statements.
_STATEMENT = """
SELECT section.*, course.code AS course_code, course.vial_labels_checked,
       protocol.id AS protocol_id, CAST(protocol.document AS text) AS document,
       standing.id AS standing_id, standing.revision AS standing_revision,
       (SELECT id FROM results_station
         WHERE course_id = course.id AND code = %s) AS station_id,
       (SELECT vial_id FROM results_issue
         WHERE group_id = of_group.id AND ended_at IS NULL) AS vial_id,
       (SELECT id FROM results_sheetdraft
         WHERE group_id = of_group.id) AS draft_id,
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

    section: Section
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


def look_at_bench(*, group_id: int, station: str, idempotency_key: str) -> AtBench:
    """Lock a group's row, under which its revisions are numbered, and look around.

    To be called within a transaction; one statement, and one for the lock.
    """
    # A statement of its own: what waited for a lock still sees the rows of before.
    Group.objects.lock(group_id)
    # No code has other characters, and not all of them can be asked for.
    keys = [station if station.isprintable() else "", idempotency_key, group_id]
    section = cast("Any", Section.objects.raw(_STATEMENT, keys)[0])
    return AtBench(
        section=section,
        course_code=section.course_code,
        vial_labels_checked=bool(section.vial_labels_checked),
        protocol_id=section.protocol_id or 0,
        document=section.document,
        station_id=section.station_id,
        vial_id=section.vial_id,
        has_draft=section.draft_id is not None,
        standing_id=section.standing_id,
        standing_revision=section.standing_revision or 0,
        earlier_id=section.earlier_id,
        others_wait=bool(section.others_wait),
    )


# By its text, not its key: what is read cannot be of another version.
@lru_cache(maxsize=_MOST_PROTOCOLS)
def _rules_of(document: str) -> ProtocolRules:
    return read_protocol(json.loads(document))
