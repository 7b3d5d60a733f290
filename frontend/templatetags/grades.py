"""Points in templates, and a group's own grade."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django import template
from django.utils import timezone

from results.policy.language import day_and_time, in_readers_format
from results.policy.marking import Part, PartName, in_print
from results.summaries.own_grade import own_grade

register = template.Library()


@register.filter
def points(value: Decimal | None) -> str:
    """Return points without needless zeros; a dash where there are none."""
    return "–" if value is None else in_readers_format(in_print(value))


@register.filter
def signed(value: Decimal | None) -> str:
    """Return a difference of points with its sign."""
    if value is None:
        return "–"
    sign = "+" if value > 0 else ""
    return f"{sign}{in_readers_format(in_print(value))}"


@register.filter
def part_label(name: str) -> str:
    """Return the name of a part in words."""
    return PartName(name).label


@register.filter
def part_points(parts: tuple[Part, ...], name: str) -> str:
    """Return the points of one of some parts; a dash where there are none."""
    return points(next((part.points for part in parts if part.name == name), None))


@register.filter
def when(moment: datetime) -> str:
    """Return a moment as its day and time of day, in the reader's language."""
    return day_and_time(moment)


@register.simple_tag
def reason_of(part: Part, *, open_values: bool) -> str:
    """Return why a part has its points, as the viewer may know it."""
    return part.said(open_values=open_values)


@register.inclusion_tag("frontend/_own_grade.html", takes_context=True)
def grade_of_group(context: template.Context, group_id: int) -> dict[str, Any]:
    """Show a group's grade once it is released, and nothing before."""
    return {
        "grade": own_grade(group_id, now=timezone.now()),
        "csrf_token": context["csrf_token"],
    }
