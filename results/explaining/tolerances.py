"""The tolerances that a course's answers rest on, with where each comes from."""

from dataclasses import dataclass

from results.models import Course
from results.policy.access import Rights
from results.policy.protocol import read_protocol
from results.policy.refusals import NotFound
from results.science.budget import Tolerance, tolerances_in_force


@dataclass(frozen=True, slots=True)
class ProtocolTolerances:
    """The tolerances in force under the protocol in force."""

    course: str
    course_title: str
    protocol_version: int
    tolerances: tuple[Tolerance, ...]


def tolerances_of_course(course_code: str, *, rights: Rights) -> ProtocolTolerances:
    """Return what every answer of the course rests on.

    Raises
    ------
    NotFound
        There is no such course among the viewer's, or it has no protocol.
    """
    course = Course.objects.filter(code=course_code).first()
    if course is None or not rights.may_list_course(course.pk):
        message = "There is no such course among yours."
        raise NotFound(message)
    protocol = course.protocols.order_by("-version").first()
    if protocol is None:
        message = "This course has no protocol yet."
        raise NotFound(message)
    return ProtocolTolerances(
        course=course.code,
        course_title=course.title,
        protocol_version=protocol.version,
        tolerances=tolerances_in_force(read_protocol(protocol.document).scheme),
    )
