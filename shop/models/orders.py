"""Orders, parcels and the as-built record."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models import Lot, Part, Reservation

from .customers import Customer
from .quotes import Quote, QuoteKit, QuoteLine


class Order(models.Model):
    class State(models.TextChoices):
        WAITING = "waiting", "waits for parts"
        READY = "ready", "ready to pick"
        WALKING = "walking", "on a walk"
        PICKED = "picked", "picked"
        PACKED = "packed", "packed"
        SHIPPED = "shipped", "shipped"
        CANCELLED = "cancelled", "cancelled"

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="order")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="orders")
    state = models.CharField(max_length=9, choices=State.choices)
    accepted_at = models.DateTimeField()
    accepted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    promised_on = models.DateField(null=True, blank=True)
    expected_on = models.DateField(
        null=True, blank=True, help_text="As things stand now; `promised_on` is what the customer was told."
    )
    # None while the order waits without anything kept for it: whole or not at all.
    reservation = models.OneToOneField(
        Reservation, on_delete=models.PROTECT, null=True, blank=True, related_name="order"
    )

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["waiting", "cancelled"]) | Q(reservation__isnull=False),
                name="only_a_waiting_order_keeps_nothing",
            ),
        ]
        indexes = [models.Index(fields=["state", "accepted_at"], name="orders_by_state")]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return f"S{self.pk:05d}"


class Parcel(models.Model):
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="parcels")
    packed_at = models.DateTimeField()
    packed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    shipped_at = models.DateTimeField(null=True, blank=True)
    carrier = models.CharField(max_length=60, blank=True)
    tracking = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(shipped_at__isnull=True) | ~Q(carrier=""), name="a_shipped_parcel_has_a_carrier"
            )
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return f"P{self.pk:05d}"


class OrderKit(models.Model):
    """One physical kit: a quote for two of a kind makes two."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="kits")
    quote_kit = models.ForeignKey(QuoteKit, on_delete=models.PROTECT, related_name="order_kits")
    ordinal = models.PositiveSmallIntegerField()
    parcel = models.ForeignKey(Parcel, on_delete=models.PROTECT, null=True, blank=True, related_name="kits")

    class Meta:
        ordering = ["order", "id"]
        constraints = [
            models.UniqueConstraint(fields=["order", "quote_kit", "ordinal"], name="order_kit_counted_once"),
        ]

    def __str__(self) -> str:
        return f"{self.quote_kit.title} ({self.ordinal} of {self.quote_kit.quantity})"


class AsBuilt(models.Model):
    """What was scanned into a kit, with lot or serial."""

    order_kit = models.ForeignKey(OrderKit, on_delete=models.PROTECT, related_name="as_built")
    quote_line = models.ForeignKey(QuoteLine, on_delete=models.PROTECT, related_name="as_built")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="as_built")
    quantity = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["order_kit", "quote_line", "id"]
        verbose_name_plural = "as-built records"
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="as_built_holds_something"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} in {self.order_kit}"
