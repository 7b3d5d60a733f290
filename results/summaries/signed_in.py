"""The group at the door, and how far its sheet is; read at every request of a phone."""

from dataclasses import dataclass
from typing import Any, cast

from results.models import Submission
from results.policy.codes import slip_mark
from results.summaries.drafts import DraftMark
from results.summaries.group import GroupLabel

# By hand, as in `intake.at_bench`: a course's phones ask some hundred times a second,
# and most of such a request would be the making of its statements.
_STATEMENT = """
SELECT sent.id, sent.revision, sent.received_at, draft.version AS draft_version,
       of_group.id AS signed_in_id, of_group.code AS group_code, of_group.slip_digest,
       section.code AS section_code, course.code AS course_code,
       course.title AS course_title
  FROM results_group of_group
  JOIN results_section section ON section.id = of_group.section_id
  JOIN results_course course ON course.id = section.course_id
  LEFT JOIN results_sheetdraft draft ON draft.group_id = of_group.id
  LEFT JOIN results_submission sent
       ON sent.group_id = of_group.id AND sent.is_current
 WHERE of_group.id = %s
"""


@dataclass(frozen=True, slots=True)
class SignedIn:
    """A group whose slip is in use, with the state of its sheet."""

    label: GroupLabel
    sheet: DraftMark

    @property
    def group_id(self) -> int:
        """The group."""
        return self.label.group_id


def signed_in(group_id: int, slip: str) -> SignedIn | None:
    """Return a group if that is the mark of the slip it uses; one query.

    Parameters
    ----------
    slip : str
        See `slip_mark`.
    """
    found = cast(
        "Any", next(iter(Submission.objects.raw(_STATEMENT, [group_id])), None)
    )
    if found is None or not slip or slip_mark(found.slip_digest) != slip:
        return None
    return SignedIn(
        GroupLabel(
            group_id=found.signed_in_id,
            course=found.course_code,
            course_title=found.course_title,
            section=found.section_code,
            group=found.group_code,
        ),
        DraftMark(found.draft_version or 0, found.revision or 0, found.received_at),
    )
