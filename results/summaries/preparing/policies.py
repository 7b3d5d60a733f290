"""What a course lets groups and assistants see, and what its labels are."""

from dataclasses import dataclass

from results.models import Course, Vial
from results.models.courses import coordinated_course
from results.policy.access import IronShown, Rights
from results.policy.codes import BadCode, read_label


@dataclass(frozen=True, slots=True, kw_only=True)
class Policies:
    """The policies of a course, as they are stored."""

    iron_shown: IronShown
    own_answer_first: bool
    assistants_see_assigned: bool
    error_shown: bool
    vial_labels_checked: bool


@dataclass(frozen=True, slots=True)
class CoursePolicies:
    """A course with its policies; `scheme_version` is 0 without a grading scheme."""

    course: str
    course_title: str
    policies: Policies
    scheme_version: int


def course_policies(course_code: str, *, rights: Rights) -> CoursePolicies:
    """Return the policies of a course; two queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    scheme = course.grading_schemes.order_by("-version").first()
    return CoursePolicies(
        course=course.code,
        course_title=course.title,
        policies=Policies(
            iron_shown=IronShown(course.iron_shown),
            own_answer_first=course.own_answer_first,
            assistants_see_assigned=course.assistants_see_assigned,
            error_shown=course.error_shown,
            vial_labels_checked=course.vial_labels_checked,
        ),
        scheme_version=scheme.version if scheme else 0,
    )


def labels_without_sign(course: Course) -> list[str]:
    """Return the vials of a course whose labels would fail the check; one query."""
    codes = Vial.objects.filter(course=course).order_by("code")
    return [code for code in codes.values_list("code", flat=True) if _fails(code)]


def _fails(code: str) -> bool:
    try:
        read_label(code)
    except BadCode:
        return True
    return False
