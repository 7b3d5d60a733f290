"""Pages of teaching assistants: their sections, and one group in detail."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from frontend.doors import for_staff
from frontend.pictures import PLATE, common_extent, draw
from frontend.walls import iron_in_print, wall_of
from results.explaining import verdicts_on_working
from results.policy.access import Rights
from results.summaries.rights import may_make_courses
from results.summaries.section import section_summary
from results.summaries.staff import group_detail, staff_courses


@never_cache
@require_safe
@for_staff
def staff_home(request: HttpRequest, rights: Rights) -> HttpResponse:
    """List the courses and sections that the person may open."""
    context = {
        "courses": staff_courses(rights),
        "may_make": may_make_courses(request.user.pk or 0, rights=rights),
    }
    return render(request, "frontend/staff_home.html", context)


@never_cache
@require_safe
@for_staff
def section(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    """Show a section, most urgent group first."""
    return _section(request, rights, section_id, "frontend/section.html")


@never_cache
@require_safe
@for_staff
def section_wall(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    """Show the part of the section page that changes."""
    return _section(request, rights, section_id, "frontend/_wall.html")


def _section(
    request: HttpRequest, rights: Rights, section_id: int, template: str
) -> HttpResponse:
    summary = section_summary(section_id, rights=rights)
    context = {"section": summary, "wall": wall_of(summary), "now": timezone.now()}
    return render(request, template, context)


@never_cache
@require_safe
@for_staff
def group(request: HttpRequest, rights: Rights, group_id: int) -> HttpResponse:
    """Show one group in detail."""
    detail = group_detail(group_id, rights=rights)
    line = detail.row.line
    gave_own = detail.row.gave_own
    context = {
        "group": detail,
        "row": detail.row,
        "iron": iron_in_print(detail.row),
        "drawing": draw(line, common_extent([line]), PLATE) if line else None,
        "verdicts": verdicts_on_working(group_id, rights=rights) if gave_own else (),
        "now": timezone.now(),
    }
    return render(request, "frontend/group.html", context)
