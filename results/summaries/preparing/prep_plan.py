"""What the prep room of a course goes by: the newest plan, or a suggested one."""

from dataclasses import dataclass
from datetime import datetime

from results.models import Course, PrepSheet
from results.models.courses import coordinated_course, protocol_in_force
from results.policy.access import Rights
from results.policy.prep_plan import PrepPlan, stored_plan, suggested_plan
from results.policy.protocol import ProtocolRules, Reagent, read_protocol


@dataclass(frozen=True, slots=True)
class PlanInForce:
    """The plan that the prep room goes by; version 0 was suggested, by nobody."""

    plan: PrepPlan
    version: int = 0
    by: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class PrepPage:
    """A course's plan beside the reagents that it is for."""

    course: str
    title: str
    reagents: tuple[Reagent, ...]
    in_force: PlanInForce


def prep_page(course_code: str, *, rights: Rights) -> PrepPage:
    """Return a course's prep plan, suggested from the protocol if there is none.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    NoProtocol
        The course has no protocol.
    """
    course = coordinated_course(course_code, rights=rights)
    rules = read_protocol(protocol_in_force(course).document)
    return PrepPage(
        course.code, course.title, rules.reagents, plan_in_force(course, rules)
    )


def plan_in_force(course: Course, rules: ProtocolRules) -> PlanInForce:
    """Return the newest plan of a course, or the suggested one; one query."""
    last = PrepSheet.objects.filter(course=course).order_by("-version").first()
    if last is None:
        return PlanInForce(suggested_plan(rules.reagents))
    plan = stored_plan(last.document)
    return PlanInForce(plan, last.version, last.by_name, last.at)
