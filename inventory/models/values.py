"""What changes the value of stock and moves no piece: charges that come after the goods."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q

from .parts import Lot, Part
from .purchases import Receipt


class LateCharge(models.Model):
    """One share of a charge that came after its delivery, such as a freight bill; only ever added.

    `absorbed` raises the value of the pieces that were still on hand; `spent` is the share of those that
    had left already.
    """

    at = models.DateTimeField(db_index=True)
    receipt = models.ForeignKey(Receipt, on_delete=models.PROTECT, related_name="late_charges")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="late_charges")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    absorbed = models.DecimalField(max_digits=14, decimal_places=4, default=Decimal(0))
    spent = models.DecimalField(max_digits=14, decimal_places=4, default=Decimal(0))
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(absorbed__gte=0, spent__gte=0), name="late_charge_not_negative"
            ),
        ]
        indexes = [models.Index(fields=["part", "id"], name="late_charges_of_part")]

    def __str__(self) -> str:
        return f"{self.absorbed + self.spent} for {self.part} of {self.receipt}"
