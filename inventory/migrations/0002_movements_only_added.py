"""The ledger of movements is only ever added to: the database itself refuses anything else."""

from django.db import migrations

REFUSAL = "Movements are only ever added. Put a wrong one right with another movement."

POSTGRESQL = f"""
CREATE FUNCTION inventory_refuse_movement_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation';
END
$$;
CREATE TRIGGER movements_only_added BEFORE UPDATE OR DELETE ON inventory_movement
FOR EACH ROW EXECUTE FUNCTION inventory_refuse_movement_change();
"""
POSTGRESQL_BACK = """
DROP TRIGGER movements_only_added ON inventory_movement;
DROP FUNCTION inventory_refuse_movement_change();
"""
SQLITE = [
    f"""CREATE TRIGGER movements_only_added_{what.lower()} BEFORE {what} ON inventory_movement
    BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"""
    for what in ("UPDATE", "DELETE")
]
SQLITE_BACK = ["DROP TRIGGER movements_only_added_update", "DROP TRIGGER movements_only_added_delete"]


def add_triggers(_apps, schema_editor):
    _run(schema_editor, {"postgresql": [POSTGRESQL], "sqlite": SQLITE})


def drop_triggers(_apps, schema_editor):
    _run(schema_editor, {"postgresql": [POSTGRESQL_BACK], "sqlite": SQLITE_BACK})


def _run(schema_editor, statements):
    vendor = schema_editor.connection.vendor
    if vendor not in statements:
        raise NotImplementedError(f"The append-only ledger needs a trigger for {vendor}: write it here.")
    for statement in statements[vendor]:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_initial")]

    operations = [migrations.RunPython(add_triggers, drop_triggers)]
