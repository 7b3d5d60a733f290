"""The groups of a section along its benches, and what filling would make of them."""

from dataclasses import dataclass

from results.models.courses import coordinated_course
from results.models.rostered import course_benches
from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.policy.roster.benches import (
    Benches,
    Filling,
    filling_mark,
    plan_filling,
)
from results.policy.roster.filling import Wish


@dataclass(frozen=True, slots=True)
class CourseGroups:
    """The sections of a course with their groups, and the one that is looked at.

    Attributes
    ----------
    shown : Benches or None
        None if the course has no section.
    """

    course: str
    course_title: str
    sections: tuple[Benches, ...]
    shown: Benches | None


@dataclass(frozen=True, slots=True)
class FillingPreview:
    """What filling would do, section by section.

    Attributes
    ----------
    mark : str
        Changes with people, groups, submissions and the wish.
    """

    fillings: tuple[Filling, ...]
    mark: str

    @property
    def n_groups(self) -> int:
        """How many groups would be made or changed."""
        return sum(len(one.groups) for one in self.fillings)

    @property
    def n_people(self) -> int:
        """How many people these groups would have."""
        return sum(one.n_people for one in self.fillings)


def course_groups(
    course_code: str, *, rights: Rights, section_id: int | None = None
) -> CourseGroups:
    """Return the groups of a course; five queries, however many.

    Parameters
    ----------
    section_id : int, optional
        The section to look at; the first with people in no group otherwise.

    Raises
    ------
    NotFound
        The viewer coordinates no such course, or it has no such section.
    """
    course = coordinated_course(course_code, rights=rights)
    sections = course_benches(course)
    shown = next(
        (one for one in sections if section_id in {None, one.section_id}), None
    )
    if section_id is None:
        shown = next((one for one in sections if one.loose), shown)
    elif shown is None:
        message = "There is no such section in this course."
        raise NotFound(message)
    return CourseGroups(course.code, course.title, tuple(sections), shown)


def filling_preview(
    course_code: str, wish: Wish, *, rights: Rights, section_id: int | None
) -> FillingPreview:
    """Return what filling would do; five queries, however many people.

    Raises
    ------
    NotFound
        The viewer coordinates no such course.
    """
    course = coordinated_course(course_code, rights=rights)
    benches = course_benches(course, section_id)
    return FillingPreview(
        tuple(plan_filling(one, wish) for one in benches), filling_mark(benches, wish)
    )
