"""What customers send back."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models import Lot, Movement, Part

from .orders import Order


class CustomerReturn(models.Model):
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="returns")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return f"R{self.pk:05d}"


class ReturnLine(models.Model):
    class Condition(models.TextChoices):
        GOOD = "good", "good: back to the dock"
        SPOILT = "spoilt", "spoilt: to scrap"

    customer_return = models.ForeignKey(CustomerReturn, on_delete=models.PROTECT, related_name="lines")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    quantity = models.PositiveIntegerField()
    condition = models.CharField(max_length=6, choices=Condition.choices)
    movement = models.OneToOneField(Movement, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["customer_return", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="return_line_returns_something")
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} back from {self.customer_return.order}"
