"""Indexes that nothing reads, or that another begins with, cost time with every movement and every hold.

SQLite makes a table anew to change a column, and its triggers are gone with the old one: they are made again.
"""

from importlib import import_module

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

TRIGGERS = import_module("inventory.migrations.0004_only_added").SQLITE


def make_triggers_anew(_apps, schema_editor):
    if schema_editor.connection.vendor == "sqlite":
        for statement in TRIGGERS:
            schema_editor.execute(statement.replace("CREATE TRIGGER", "CREATE TRIGGER IF NOT EXISTS"))


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0006_kept_now"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AlterField(
            model_name="auditentry",
            name="user",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="by",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="lot",
            field=models.ForeignKey(
                blank=True,
                db_index=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="movements",
                to="inventory.lot",
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="part",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="movements",
                to="inventory.part",
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="purchase_line",
            field=models.ForeignKey(
                blank=True,
                db_index=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="movements",
                to="inventory.purchaseline",
            ),
        ),
        migrations.AlterField(
            model_name="purchaseline",
            name="part",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="purchase_lines",
                to="inventory.part",
            ),
        ),
        migrations.AlterField(
            model_name="reservationline",
            name="part",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="reservation_lines",
                to="inventory.part",
            ),
        ),
        migrations.AlterField(
            model_name="reservationline",
            name="purchase_line",
            field=models.ForeignKey(
                blank=True,
                db_index=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="reservation_lines",
                to="inventory.purchaseline",
            ),
        ),
        migrations.AddIndex(
            model_name="movement",
            index=models.Index(
                condition=models.Q(("lot__isnull", False)), fields=["lot"], name="movements_of_lot"
            ),
        ),
        migrations.AddIndex(
            model_name="movement",
            index=models.Index(
                condition=models.Q(("purchase_line__isnull", False)),
                fields=["purchase_line"],
                name="movements_of_purchase_line",
            ),
        ),
        migrations.AddIndex(
            model_name="reservationline",
            index=models.Index(
                condition=models.Q(("purchase_line__isnull", False)), fields=["part"], name="waiting_by_part"
            ),
        ),
        migrations.AddIndex(
            model_name="reservationline",
            index=models.Index(
                condition=models.Q(("purchase_line__isnull", False)),
                fields=["purchase_line"],
                name="waiting_by_purchase_line",
            ),
        ),
        migrations.RunPython(make_triggers_anew, make_triggers_anew),
    ]
