"""What the tables of a package share: kinds of columns, and reading their rows."""

from collections.abc import Callable
from typing import Any

from django.db.models import Model, QuerySet

from results.exports.package.columns import Column, Kind, Reference, Rows

AT_ONCE = 2000
GROUP = ("section", "group")


def rows_of(
    query: Callable[[int], QuerySet[Any]], *order: str
) -> Callable[[int, tuple[str, ...]], Rows]:
    """Return a reader of the paths wanted, in an order that stays the same."""

    def read(course_id: int, paths: tuple[str, ...]) -> Rows:
        found = query(course_id).order_by(*order).values_list(*paths)
        return found.iterator(chunk_size=AT_ONCE)

    return read


def text(name: str, path: str, about: str, **more: Any) -> Column:
    """Return a column of text."""
    return Column(name, Kind.STRING, path, about, **more)


def numeric(name: str, path: str, about: str, **more: Any) -> Column:
    """Return a column of numbers."""
    return Column(name, Kind.NUMBER, path, about, **more)


def whole(name: str, path: str, about: str, **more: Any) -> Column:
    """Return a column of whole numbers."""
    return Column(name, Kind.INTEGER, path, about, **more)


def group_columns(path: str) -> tuple[Column, Column]:
    """Return the columns that name a group."""
    return (
        text("section", f"{path}section__code", "code of the section", required=True),
        text("group", f"{path}code", "code of the group", required=True),
    )


def by_group(path: str) -> tuple[str, str]:
    """Return the order of sections and groups."""
    return f"{path}section__code", f"{path}code"


OF_SUBMISSION = "submission__group__"
IN_SUBMISSIONS = (Reference(GROUP, "submissions"),)


def current(model: type[Model], **more: Any) -> Callable[[int], QuerySet[Any]]:
    """Return what finds records of a course's current submissions."""

    def query(course_id: int) -> QuerySet[Any]:
        return model._default_manager.filter(  # noqa: SLF001 - Django's public name
            submission__group__section__course=course_id,
            submission__is_current=True,
            **more,
        )

    return query
