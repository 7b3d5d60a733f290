"""Who may see what.

Every page and every answer of the API asks here, so that the table of rights
stands in one place.
"""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum


class Role(StrEnum):
    """What a viewer is to a course."""

    GROUP = "group"
    ASSISTANT = "assistant"
    COORDINATOR = "coordinator"


class IronShown(StrEnum):
    """When a group sees its own recomputed iron content."""

    AT_ONCE = "at_once"
    AFTER_DUE = "after_due"
    ON_RELEASE = "on_release"

    @property
    def label(self) -> str:
        """The choice in words."""
        return {
            IronShown.AT_ONCE: "as soon as it is computed",
            IronShown.AFTER_DUE: "after the due time",
            IronShown.ON_RELEASE: "when results are released",
        }[self]


@dataclass(frozen=True, slots=True)
class Rights:
    """What one member of staff is to every course and section.

    Attributes
    ----------
    coordinated : frozenset of int
        Courses that the person coordinates.
    assisted : frozenset of int
        Sections that the person assists.
    assisting : frozenset of int
        Courses in which the person assists at least one section.
    """

    coordinated: frozenset[int] = field(default_factory=frozenset)
    assisted: frozenset[int] = field(default_factory=frozenset)
    assisting: frozenset[int] = field(default_factory=frozenset)

    def may_see_course(self, course_id: int) -> bool:
        """Whether course-wide figures are open: coordinators only."""
        return course_id in self.coordinated

    def may_list_course(self, course_id: int) -> bool:
        """Whether the course appears in the person's list."""
        return course_id in self.coordinated or course_id in self.assisting

    def may_see_section(self, section_id: int, course_id: int) -> bool:
        """Whether a section's groups, readings and answers are open."""
        return course_id in self.coordinated or section_id in self.assisted

    def may_make_slips(self, section_id: int, course_id: int) -> bool:
        """Whether a section's slips can be made anew: by whoever stands in it.

        A lost slip is replaced at the bench, where a coordinator seldom is.
        """
        return self.may_see_section(section_id, course_id)

    def may_grade(self, section_id: int, course_id: int) -> bool:
        """Whether a section's grades are the person's to set."""
        return self.may_see_section(section_id, course_id)

    def may_see_assigned(
        self, section_id: int, course_id: int, *, assistants_see_assigned: bool
    ) -> bool:
        """Whether assigned values and recoveries of a section are open."""
        if course_id in self.coordinated:
            return True
        return assistants_see_assigned and section_id in self.assisted


@dataclass(frozen=True, slots=True)
class Actor:
    """Who acts: a member of staff, with what they may."""

    user_id: int
    name: str
    rights: Rights


def iron_is_shown(
    policy: IronShown,
    *,
    now: datetime,
    due_at: datetime | None,
    released_at: datetime | None,
) -> bool:
    """Whether a group sees its recomputed iron content now.

    A section without a due time has nothing to wait for under `AFTER_DUE`
    except its release.
    """
    if released_at is not None and released_at <= now:
        return True
    if policy is IronShown.AT_ONCE:
        return True
    if policy is IronShown.AFTER_DUE:
        return due_at is not None and due_at <= now
    return False


def own_answer_is_awaited(
    *, own_answer_first: bool, gave_own: bool, released: bool
) -> bool:
    """Whether a group is to give its own worked answer before it sees ours.

    Parameters
    ----------
    own_answer_first : bool
        The course's policy.
    released : bool
        Whether results are out: then nothing is kept back any more.
    """
    return own_answer_first and not gave_own and not released


def grade_is_shown(*, released_at: datetime | None, now: datetime) -> bool:
    """Whether a group sees its grade and the comment on it now."""
    return released_at is not None and released_at <= now
