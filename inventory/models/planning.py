"""What the buying desk watches: demand by month, target levels, and alerts."""

from django.db import models
from django.db.models import F, Q

from .parts import Part
from .suppliers import Supplier


class MonthlyDemand(models.Model):
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="demand")
    month = models.DateField(help_text="The first day of the month.")
    quantity = models.PositiveIntegerField()

    class Meta:
        ordering = ["part", "month"]
        verbose_name_plural = "monthly demand"
        constraints = [
            models.UniqueConstraint(fields=["part", "month"], name="one_demand_per_part_and_month"),
            models.CheckConstraint(condition=Q(month__day=1), name="demand_month_starts_on_the_first"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} in {self.month:%Y-%m}"


class Target(models.Model):
    """Order when the stock that is free or coming falls to `reorder_at`; order up to `up_to`."""

    part = models.OneToOneField(Part, on_delete=models.CASCADE, related_name="target")
    reorder_at = models.PositiveIntegerField()
    up_to = models.PositiveIntegerField()
    why = models.CharField(max_length=200)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(up_to__gt=F("reorder_at")), name="target_up_to_above_reorder"),
        ]

    def __str__(self) -> str:
        return f"{self.part}: order at {self.reorder_at}, up to {self.up_to}"


class Alert(models.Model):
    """Buying should act. One open alert per part and cause; it is updated, not repeated."""

    class Cause(models.TextChoices):
        BELOW_TARGET = "below target", "below target"
        ORDER_WAITS = "order waits", "an order waits"

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="alerts")
    cause = models.CharField(max_length=12, choices=Cause.choices)
    reason = models.CharField(max_length=300)
    quantity = models.PositiveIntegerField()
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="alerts"
    )
    order_by = models.DateField()
    raised_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)
    cleared_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["order_by", "id"]
        permissions = [("handle_alerts", "Can handle alerts")]
        constraints = [
            models.UniqueConstraint(
                fields=["part", "cause"],
                condition=Q(cleared_at__isnull=True),
                name="one_open_alert_per_cause",
            ),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="alert_asks_for_something"),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.cause}"
