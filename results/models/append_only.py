"""Records that are only added to: nobody changes them or takes them away."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, ClassVar

from django.db import connection, models, transaction


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


@contextmanager
def let_erase(table: str) -> Iterator[None]:
    """Suspend the triggers that keep a table, for what the law asks to be erased.

    Both engines undo this with the transaction if anything fails; nobody else's
    transaction sees the table without its triggers on SQLite, which has one writer,
    nor on PostgreSQL, which locks the table meanwhile.
    """
    with transaction.atomic(), connection.cursor() as cursor:
        quoted = connection.ops.quote_name(table)
        if connection.vendor == "postgresql":
            # What a deferred constraint still has to check stands in the way of it.
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute(f"ALTER TABLE {quoted} DISABLE TRIGGER USER")
            yield
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute(f"ALTER TABLE {quoted} ENABLE TRIGGER USER")
            return
        cursor.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' "
            "AND tbl_name = %s",
            [table],
        )
        triggers = cursor.fetchall()
        for name, _ in triggers:
            cursor.execute(f"DROP TRIGGER {connection.ops.quote_name(name)}")
        yield
        for _, made_by in triggers:
            cursor.execute(made_by)
