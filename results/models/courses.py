"""Finding a course, for whom it is open, and the protocol in force in it."""

from results.models.course import Course, Protocol
from results.policy.access import Rights
from results.policy.refusals import NoProtocol, NotFound


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


def locked_course(code: str, *, rights: Rights) -> Course:
    """Return a course to who coordinates it, and let nobody else change its parts.

    Its row is the lock under which versions are numbered and sections, stations,
    people and staff change. To be called within a transaction; two queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(code, rights=rights)
    return Course.objects.select_for_update().get(pk=course.pk)


def protocol_in_force(course: Course) -> Protocol:
    """Return a course's newest protocol; one query.

    Raises
    ------
    NoProtocol
        The course has none.
    """
    protocol = course.protocols.order_by("-version").first()
    if protocol is None:
        raise NoProtocol(course.code)
    return protocol
