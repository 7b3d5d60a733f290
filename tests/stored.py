"""What the database holds, to tell whether anything came to it or went."""

from django.db import connection

# Changes by itself, and is nobody's.
RESTLESS = {"django_session", "benchwide_cache"}


def everything():
    """Every row of every table that does not change by itself."""
    with connection.cursor() as cursor:
        found = {}
        for table in connection.introspection.table_names(cursor):
            if table not in RESTLESS:
                quoted = connection.ops.quote_name(table)
                cursor.execute(f"SELECT * FROM {quoted}")  # noqa: S608 - its own name
                found[table] = sorted(map(repr, cursor.fetchall()))
        return found
