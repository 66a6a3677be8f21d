"""A quote may be lost, and then says why."""

from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0011_approved_by_somebody"),
        ("shop", "0004_fewer_indexes"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="quote",
            name="lost_note",
            field=models.CharField(blank=True, help_text="What the customer said.", max_length=200),
        ),
        migrations.AddField(
            model_name="quote",
            name="lost_why",
            field=models.CharField(
                blank=True,
                choices=[
                    ("not in time", "not in time"),
                    ("too dear", "too dear"),
                    ("other", "another reason"),
                ],
                max_length=11,
            ),
        ),
        migrations.AlterField(
            model_name="quote",
            name="state",
            field=models.CharField(
                choices=[
                    ("open", "open"),
                    ("accepted", "accepted"),
                    ("withdrawn", "withdrawn"),
                    ("replaced", "replaced by another"),
                    ("lost", "lost"),
                ],
                default="open",
                max_length=9,
            ),
        ),
        migrations.AddConstraint(
            model_name="quote",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "lost"), models.Q(("lost_why", ""), _negated=True)),
                    models.Q(models.Q(("state", "lost"), _negated=True), ("lost_why", "")),
                    _connector="OR",
                ),
                name="a_lost_quote_says_why",
            ),
        ),
    ]
