"""PostgreSQL keeps a whole kit from the shelf in one call; `inventory.quick` says when and why.

Whoever changes it makes a new migration with the whole function in it: CREATE OR REPLACE.
"""

from django.db import migrations

KEEP = """
CREATE OR REPLACE FUNCTION inventory_keep_from_shelf(
    kept_as text, parts bigint[], quantities bigint[], kept_for text, kept_until timestamptz, day date,
    OUT reservation bigint, OUT kept_at timestamptz
) LANGUAGE plpgsql AS $$
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
END
$$
"""
DROP = "DROP FUNCTION inventory_keep_from_shelf"


def make(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(KEEP, params=None)


def drop(_apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(DROP, params=None)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0007_fewer_indexes")]

    operations = [migrations.RunPython(make, drop)]
