"""A line of no pieces, of which nobody knows how many were ordered, was let through: NULL is not false."""

from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):
    dependencies = [("inventory", "0014_where_buying_looks")]

    operations = [
        migrations.RemoveConstraint(model_name="purchaseline", name="purchase_line_buys_something"),
        migrations.AddConstraint(
            model_name="purchaseline",
            constraint=models.CheckConstraint(
                condition=Q(("quantity__gt", 0), Q(ordered__isnull=False, ordered__gt=0), _connector="OR"),
                name="purchase_line_buys_something",
            ),
        ),
    ]
