"""Finding a course: by its code alone, or for who coordinates it."""

from results.models.course import Course
from results.policy.access import Rights
from results.policy.refusals import NotFound


def find_course(code: str) -> Course:
    """Return a course by its code; one query.

    Raises
    ------
    NotFound
        There is none.
    """
    course = Course.objects.filter(code=code).first()
    if course is None:
        message = f"There is no course {code}. Make it with make_course {code}."
        raise NotFound(message)
    return course


def coordinated_course(code: str, *, rights: Rights) -> Course:
    """Return a course to who coordinates it; one query.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = Course.objects.filter(code=code).first()
    if course is None or not rights.may_see_course(course.pk):
        message = "There is no such course among those that you coordinate."
        raise NotFound(message)
    return course
