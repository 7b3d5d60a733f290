"""Amounts of the prep room in templates; for staff, in English."""

from collections.abc import Sequence

from django import template

from frontend.preparing.prep_form import (
    bottles_in_words,
    mass_in_words,
    volume_in_words,
)

register = template.Library()


@register.filter
def volume(volume_mL: float) -> str:
    """Return a volume with its unit."""
    return volume_in_words(volume_mL)


@register.filter
def mass(mass_g: float | None) -> str:
    """Return a mass with its unit; a dash where there is none."""
    return "–" if mass_g is None else mass_in_words(mass_g)


@register.filter
def filled(bottles_mL: Sequence[float]) -> str:
    """Return bottles to fill."""
    return bottles_in_words(bottles_mL)
