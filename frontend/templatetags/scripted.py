"""Addresses of scripts in templates."""

from django import template

from frontend.scripts import BENCH, HOME

register = template.Library()


@register.simple_tag
def bench_scripts() -> str:
    """Return the address of the bench sheet's scripts."""
    return BENCH.address


@register.simple_tag
def home_scripts() -> str:
    """Return the address of the scripts of the page where slips are typed in."""
    return HOME.address
