"""Suppliers, and the offers by which a part can be bought from them."""

from decimal import Decimal

from django.db import models
from django.db.models import Q

from .parts import Part


class Supplier(models.Model):
    code = models.SlugField(max_length=20, unique=True)
    name = models.CharField(max_length=80, unique=True)
    email = models.EmailField(blank=True)
    lead_days = models.PositiveSmallIntegerField(help_text="Calendar days from sending an order to the dock.")
    least_value = models.DecimalField(
        max_digits=10, decimal_places=2, default=Decimal(0), help_text="They take no order below this total."
    )
    carriage = models.DecimalField(
        max_digits=10, decimal_places=2, default=Decimal(0), help_text="What they charge to deliver an order."
    )
    free_carriage_from = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, help_text="And from which total they do not."
    )
    review_days = models.PositiveSmallIntegerField(
        default=7, help_text="We order from them every so many days."
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(least_value__gte=0, carriage__gte=0)
                & (Q(free_carriage_from__isnull=True) | Q(free_carriage_from__gte=0)),
                name="supplier_terms_not_negative",
            ),
            models.CheckConstraint(condition=Q(review_days__gt=0), name="supplier_is_ordered_from_on_days"),
        ]

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


class PriceBreak(models.Model):
    """A lower price for everybody who orders so many at once."""

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="breaks")
    at_least = models.PositiveIntegerField(help_text="From this quantity on each piece costs the price.")
    price = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["offer", "at_least"]
        constraints = [
            models.UniqueConstraint(fields=["offer", "at_least"], name="one_price_per_quantity"),
            models.CheckConstraint(condition=Q(at_least__gt=1, price__gte=0), name="price_break_is_one"),
        ]

    def __str__(self) -> str:
        return f"{self.price} each from {self.at_least}"
