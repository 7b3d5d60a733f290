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
       station.id AS station_id, issue.vial_id AS vial_id, draft.id AS draft_id,
       standing.id AS standing_id, standing.revision AS standing_revision,
       earlier.id AS earlier_id
  FROM results_group of_group
  JOIN results_section section ON section.id = of_group.section_id
  JOIN results_course course ON course.id = section.course_id
  LEFT JOIN results_protocol protocol ON protocol.id = (
       SELECT newest.id FROM results_protocol newest
        WHERE newest.course_id = course.id ORDER BY newest.version DESC LIMIT 1)
  LEFT JOIN results_station station
       ON station.course_id = course.id AND station.code = %s
  LEFT JOIN results_issue issue
       ON issue.group_id = of_group.id AND issue.ended_at IS NULL
  LEFT JOIN results_sheetdraft draft ON draft.group_id = of_group.id
  LEFT JOIN results_submission standing
       ON standing.group_id = of_group.id AND standing.is_current
  LEFT JOIN results_submission earlier
       ON earlier.group_id = of_group.id AND earlier.idempotency_key = %s
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

    To be called within a transaction; two statements.
    """
    # A statement of its own: what waited for a lock still sees the rows of before.
    list(
        Group.objects.select_for_update(of=("self",))
        .filter(pk=group_id)
        .values_list("pk")
    )
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
    )


# By its text, not its key: what is read cannot be of another version.
@lru_cache(maxsize=_MOST_PROTOCOLS)
def _rules_of(document: str) -> ProtocolRules:
    return read_protocol(json.loads(document))
