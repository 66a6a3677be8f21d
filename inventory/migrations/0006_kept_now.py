"""Finds the reservations that still keep something without looking at all that ever were."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0005_kept_for_later")]

    operations = [
        migrations.AddIndex(
            model_name="reservation",
            index=models.Index(condition=models.Q(("state", "kept")), fields=["kind"], name="kept_now"),
        ),
    ]
