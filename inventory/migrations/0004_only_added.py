"""Movements, late charges and count entries are only ever added: the database itself refuses anything else.

SQLite makes a table anew to change a column, and its triggers are gone with the old one; so they are made
again here, whichever of them are left. A table of PostgreSQL cannot be emptied at a stroke either.
"""

from django.db import migrations

TABLES = {
    "inventory_movement": "Movements are only ever added. Put a wrong one right with another movement.",
    "inventory_latecharge": "Charges are only ever added. Put a wrong one right with a correction.",
    "inventory_countentry": "What was counted is only ever added to. Count again.",
}

REFUSE = """
CREATE FUNCTION inventory_refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '%%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation';
END
$$
"""
POSTGRESQL = [
    "DROP TRIGGER IF EXISTS movements_only_added ON inventory_movement",
    "DROP FUNCTION IF EXISTS inventory_refuse_movement_change()",
    REFUSE,
    *(
        f"CREATE TRIGGER {table}_only_added BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION inventory_refuse_change('{refusal}')"
        for table, refusal in TABLES.items()
    ),
    *(
        f"CREATE TRIGGER {table}_never_emptied BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION inventory_refuse_change('{refusal}')"
        for table, refusal in TABLES.items()
    ),
]
POSTGRESQL_BACK = [
    *(f"DROP TRIGGER {table}_only_added ON {table}" for table in TABLES),
    *(f"DROP TRIGGER {table}_never_emptied ON {table}" for table in TABLES),
    "DROP FUNCTION inventory_refuse_change()",
]
SQLITE = [
    "DROP TRIGGER IF EXISTS movements_only_added_update",
    "DROP TRIGGER IF EXISTS movements_only_added_delete",
    *(
        f"CREATE TRIGGER {table}_only_added_{what.lower()} BEFORE {what} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, '{refusal}'); END"
        for table, refusal in TABLES.items()
        for what in ("UPDATE", "DELETE")
    ),
]
SQLITE_BACK = [
    f"DROP TRIGGER {table}_only_added_{what.lower()}" for table in TABLES for what in ("UPDATE", "DELETE")
]


def add_triggers(_apps, schema_editor):
    _run(schema_editor, {"postgresql": POSTGRESQL, "sqlite": SQLITE})


def drop_triggers(_apps, schema_editor):
    _run(schema_editor, {"postgresql": POSTGRESQL_BACK, "sqlite": SQLITE_BACK})


def _run(schema_editor, statements):
    vendor = schema_editor.connection.vendor
    if vendor not in statements:
        raise NotImplementedError(f"The append-only ledger needs a trigger for {vendor}: write it here.")
    for statement in statements[vendor]:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0003_costs_counts_and_dates")]

    operations = [migrations.RunPython(add_triggers, drop_triggers)]
