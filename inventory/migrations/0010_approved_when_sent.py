"""Orders to suppliers that were sent before anybody approved: whoever wrote one approved it by sending it."""

from django.db import migrations
from django.db.models import F


def approve(apps, _schema_editor):
    orders = apps.get_model("inventory", "PurchaseOrder").objects.filter(state__in=["sent", "closed"])
    orders.filter(approved_at=None).update(approved_at=F("sent_at"), approved_by=F("made_by"))
    lines = apps.get_model("inventory", "PurchaseLine").objects
    lines.filter(order__state__in=["sent", "closed"], ordered=None).update(ordered=F("quantity"))


class Migration(migrations.Migration):
    dependencies = [("inventory", "0009_buying_whole_kits")]

    operations = [migrations.RunPython(approve, migrations.RunPython.noop)]
