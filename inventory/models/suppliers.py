"""Suppliers, and the offers by which a part can be bought from them."""

from django.db import models
from django.db.models import Q

from .parts import Part


class Supplier(models.Model):
    code = models.SlugField(max_length=20, unique=True)
    name = models.CharField(max_length=80, unique=True)
    email = models.EmailField(blank=True)
    lead_days = models.PositiveSmallIntegerField(help_text="Calendar days from sending an order to the dock.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Offer(models.Model):
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="offers")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="offers")
    their_number = models.CharField(max_length=40, blank=True)
    price = models.DecimalField(max_digits=10, decimal_places=2)
    pack = models.PositiveIntegerField(default=1)
    least = models.PositiveIntegerField(default=1, help_text="The least quantity of one order.")
    lead_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="If not the supplier's usual."
    )

    class Meta:
        ordering = ["part", "price"]
        constraints = [
            models.UniqueConstraint(fields=["supplier", "part"], name="one_offer_per_supplier_and_part"),
            models.CheckConstraint(condition=Q(price__gte=0), name="offer_price_not_negative"),
            models.CheckConstraint(condition=Q(pack__gt=0, least__gt=0), name="offer_sells_whole_packs"),
        ]

    def __str__(self) -> str:
        return f"{self.part} from {self.supplier}"

    @property
    def days(self) -> int:
        return self.supplier.lead_days if self.lead_days is None else self.lead_days
