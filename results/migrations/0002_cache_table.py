"""Make the table of the database cache, which counts attempts to sign in."""

from django.core.management import call_command
from django.db import migrations


def make_cache_table(apps, schema_editor):
    call_command("createcachetable", database=schema_editor.connection.alias)


class Migration(migrations.Migration):
    dependencies = [("results", "0001_first_records")]

    operations = [migrations.RunPython(make_cache_table, migrations.RunPython.noop)]
