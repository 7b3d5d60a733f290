"""Records that are only added to: nobody changes them or takes them away."""

from typing import Any, ClassVar

from django.db import models


class AppendOnly(TypeError):
    """What is kept as it is was to be changed or deleted."""


class AppendOnlyQuerySet(models.QuerySet[Any]):
    """Rows, which nobody changes or takes away."""

    def update(self, **_: Any) -> int:
        """Refuse."""
        raise AppendOnly(self.model.kept)

    def delete(self) -> tuple[int, dict[str, int]]:
        """Refuse."""
        raise AppendOnly(self.model.kept)


class AppendOnlyModel(models.Model):
    """A row that is stored once; the database refuses updates by a trigger too.

    Attributes
    ----------
    kept : str
        What is said to who tries, with what to do instead.
    """

    kept: ClassVar[str]

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store a new row; refuse to change one."""
        if not self._state.adding:
            raise AppendOnly(self.kept)
        super().save(*args, **kwargs)

    def delete(self, *_: Any, **__: Any) -> tuple[int, dict[str, int]]:
        """Refuse."""
        raise AppendOnly(self.kept)
