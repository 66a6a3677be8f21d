"""The function that keeps a kit finds its ten rows by their keys, however many parts the shop has.

PostgreSQL plans its statements once, for lists of unknown length, and then likes to read the whole stock and
hash it: measured, that took longer than all the rest of the call.
"""

from django.db import migrations

FUNCTION = "inventory_keep_from_shelf(text, bigint[], bigint[], text, timestamptz, date)"
JOINS = ("enable_hashjoin", "enable_mergejoin")


def without(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        for join in JOINS:
            schema_editor.execute(f"ALTER FUNCTION {FUNCTION} SET {join} = off", params=None)


def with_them(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        for join in JOINS:
            schema_editor.execute(f"ALTER FUNCTION {FUNCTION} RESET {join}", params=None)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0008_keep_from_shelf")]

    operations = [migrations.RunPython(without, with_them)]
