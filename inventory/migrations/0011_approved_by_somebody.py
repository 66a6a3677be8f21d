"""Apart from the rows that it asks for: PostgreSQL changes no table whose rows were just written."""

from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):
    dependencies = [("inventory", "0010_approved_when_sent")]

    operations = [
        migrations.AddConstraint(
            model_name="purchaseorder",
            constraint=models.CheckConstraint(
                condition=Q(
                    Q(("approved_at__isnull", True), ("approved_by__isnull", True), ("state", "draft")),
                    Q(
                        Q(("state", "draft"), _negated=True),
                        ("approved_at__isnull", False),
                        ("approved_by__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="purchase_order_is_approved_by_somebody",
            ),
        ),
    ]
