"""Addresses of scripts in templates."""

from django import template

from frontend.scripts import bench_scripts_address

register = template.Library()


@register.simple_tag
def bench_scripts() -> str:
    """Return the address of the bench sheet's scripts."""
    return bench_scripts_address()
