"""PostgreSQL says which parts buying should look at, in the same call that keeps a kit.

Of few parts: those that are down to where they are ordered, and those that an alert is open for. It finds
their rows by their keys, however many parts the shop has, as the function that keeps a kit does.
"""

from django.db import migrations

CONCERNED = """
CREATE OR REPLACE FUNCTION inventory_concerned(parts bigint[]) RETURNS bigint[]
LANGUAGE plpgsql SET enable_seqscan = off SET enable_hashjoin = off SET enable_mergejoin = off AS $$
BEGIN
    RETURN (
        SELECT array_agg(part) FROM unnest(parts) AS part
        LEFT JOIN inventory_target AS target ON target.part_id = part
        LEFT JOIN inventory_stock AS stock ON stock.part_id = part
        LEFT JOIN inventory_alert AS alert ON alert.part_id = part AND alert.cleared_at IS NULL
        WHERE stock.on_hand - stock.held - stock.committed <= target.reorder_at OR alert.id IS NOT NULL
    );
END
$$
"""
DROP = "DROP FUNCTION inventory_concerned"


def make(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(CONCERNED, params=None)


def drop(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(DROP, params=None)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0013_carriage_as_it_was_sent")]

    operations = [migrations.RunPython(make, drop)]
