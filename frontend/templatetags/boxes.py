"""Boxes of forms whose names come from a table."""

from collections.abc import Mapping
from typing import Any

from django import template

register = template.Library()


@register.inclusion_tag("frontend/preparing/_box.html")
def box(
    name: str,
    label: str,
    typed: Mapping[str, str],
    wrong: Mapping[str, str],
    otherwise: str = "",
) -> dict[str, Any]:
    """Show a box for a number with what was typed and what is wrong with it."""
    return {
        "name": name,
        "label": label,
        "value": typed.get(name, otherwise),
        "problem": wrong.get(name, ""),
    }
