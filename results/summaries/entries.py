"""One course or one section out of those that a member of staff can open."""

from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.summaries.staff import CourseEntry, SectionEntry, staff_courses


def course_entry(course_code: str, *, rights: Rights) -> CourseEntry:
    """Return one course with those of its sections that the viewer may open.

    Raises
    ------
    NotFound
        There is no such course, or the viewer has no duty in it.
    """
    for course in staff_courses(rights):
        if course.course == course_code:
            return course
    message = "There is no such course among yours."
    raise NotFound(message)


def section_entry(section_id: int, *, rights: Rights) -> SectionEntry:
    """Return one section.

    Raises
    ------
    NotFound
        There is no such section, or the viewer has no duty in it.
    """
    for course in staff_courses(rights):
        for section in course.sections:
            if section.section_id == section_id:
                return section
    message = "There is no such section among yours."
    raise NotFound(message)
