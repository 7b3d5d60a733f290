"""Cautions at the steps that need them."""

from django import template

from frontend.cautions import reagent_caution, taking_caution, weighing_caution
from results.policy.protocol import Reagent

register = template.Library()


@register.simple_tag
def weighing() -> str:
    """Return what to mind at the balance."""
    return weighing_caution()


@register.filter
def to_mind(delivery: str) -> str:
    """Return what to mind with a piece of glass."""
    return taking_caution(delivery)


@register.filter
def reagent_to_mind(reagent: Reagent) -> str:
    """Return what to mind with a reagent."""
    return reagent_caution(reagent)
