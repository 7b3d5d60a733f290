"""Boxes of the administration in which a record is looked for by its name."""

from collections.abc import Sequence
from typing import Any

from django.contrib.admin.widgets import AutocompleteSelect
from django.db.models import ForeignKey
from django.forms import ModelChoiceField
from django.http import HttpRequest

# More than a number of a record ever has, and less than a database takes.
_MOST_DIGITS = 18


class NamedRecord(AutocompleteSelect):
    """Shows nothing as chosen where what was sent is no record's number."""

    def optgroups(
        self, name: str, value: Sequence[str], attr: dict[str, Any] | None = None
    ) -> Any:
        """Return the choices, those among them that are chosen."""
        numbers = [one for one in value if _is_number(str(one))]
        return super().optgroups(name, numbers, attr)


class ChoosesByName:
    """For an administration of records, or of rows, with `autocomplete_fields`."""

    def formfield_for_foreignkey(
        self, db_field: "ForeignKey[Any]", request: HttpRequest, **kwargs: Any
    ) -> "ModelChoiceField[Any] | None":
        """Return the box for a record that belongs to another."""
        if db_field.name in self.autocomplete_fields:  # type: ignore[attr-defined]
            site = self.admin_site  # type: ignore[attr-defined]
            kwargs["widget"] = NamedRecord(db_field, site, using=kwargs.get("using"))
        field: ModelChoiceField[Any] | None = super().formfield_for_foreignkey(  # type: ignore[misc]
            db_field, request, **kwargs
        )
        return field


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) <= _MOST_DIGITS
