"""The function that keeps a kit finds its rows by their keys, and names the parts that buying should look at.

PostgreSQL plans its statements once, for lists of unknown length, and then likes to read the whole stock and
hash it: measured, that took longer than all the rest of the call. So those joins are off inside it.

Whoever changes it makes a new migration with the whole function in it. What it answers has changed, so the
one before goes first.
"""

from importlib import import_module

from django.db import migrations

DROP = "DROP FUNCTION inventory_keep_from_shelf(text, bigint[], bigint[], text, timestamptz, date)"
KEEP = """
CREATE FUNCTION inventory_keep_from_shelf(
    kept_as text, parts bigint[], quantities bigint[], kept_for text, kept_until timestamptz, day date,
    OUT reservation bigint, OUT kept_at timestamptz, OUT concerned bigint[]
) LANGUAGE plpgsql SET enable_hashjoin = off SET enable_mergejoin = off AS $$
DECLARE
    enough boolean;
BEGIN
    FOR turn IN 1..2 LOOP
        SELECT count(*) = cardinality(parts) AND bool_and(on_hand - held - committed >= quantity)
        INTO enough
        FROM unnest(parts, quantities) AS want (part_id, quantity) JOIN inventory_stock USING (part_id);
        IF NOT enough THEN
            RETURN;
        END IF;
        -- Looked at before the lock, so that a want that is short locks nothing; and after it, for good.
        IF turn = 1 THEN
            PERFORM FROM inventory_stock WHERE part_id = ANY (parts) ORDER BY part_id FOR UPDATE;
        END IF;
    END LOOP;
    INSERT INTO inventory_reservation (kind, state, reference, made_at, until, wanted_on)
    VALUES (kept_as, 'kept', kept_for, clock_timestamp(), kept_until, day)
    RETURNING id, made_at INTO reservation, kept_at;
    IF kept_as = 'hold' THEN
        UPDATE inventory_stock SET held = held + quantity
        FROM unnest(parts, quantities) AS want (part, quantity) WHERE part_id = part;
    ELSE
        UPDATE inventory_stock SET committed = committed + quantity
        FROM unnest(parts, quantities) AS want (part, quantity) WHERE part_id = part;
    END IF;
    INSERT INTO inventory_reservationline (reservation_id, part_id, quantity)
    SELECT reservation, part, quantity FROM unnest(parts, quantities) AS want (part, quantity);
    -- Down to where they are ordered, or with an alert open already: as inventory.alerting.marking says.
    concerned := ARRAY(
        SELECT part_id FROM unnest(parts) AS part_id
        JOIN inventory_target USING (part_id) JOIN inventory_stock USING (part_id)
        WHERE on_hand - held - committed <= reorder_at
        UNION
        SELECT part_id FROM unnest(parts) AS part_id JOIN inventory_alert USING (part_id)
        WHERE cleared_at IS NULL
    );
END
$$
"""


def make(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(DROP, params=None)
        schema_editor.execute(KEEP, params=None)


def back(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(DROP, params=None)
        schema_editor.execute(import_module("inventory.migrations.0008_keep_from_shelf").KEEP, params=None)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0011_approved_by_somebody")]

    operations = [migrations.RunPython(make, back)]
