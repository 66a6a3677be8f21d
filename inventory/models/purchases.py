"""Orders to suppliers and what has come of them."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from .parts import Part
from .suppliers import Supplier


class PurchaseOrder(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        SENT = "sent", "sent"
        CLOSED = "closed", "closed"

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="purchase_orders")
    state = models.CharField(max_length=6, choices=State.choices, default=State.DRAFT)
    made_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        permissions = [("buy", "Can order from suppliers")]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="draft", sent_at__isnull=True)
                | Q(~Q(state="draft"), sent_at__isnull=False),
                name="purchase_order_sent_has_a_time",
            )
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return f"B{self.pk:05d}"


class PurchaseLine(models.Model):
    """`reserved` is what reservations already count on from what is still to come."""

    order = models.ForeignKey(PurchaseOrder, on_delete=models.PROTECT, related_name="lines")
    part = models.ForeignKey(  # Indexed below, with the day.
        Part, on_delete=models.PROTECT, related_name="purchase_lines", db_index=False
    )
    quantity = models.PositiveIntegerField()
    received = models.PositiveIntegerField(default=0)
    reserved = models.PositiveIntegerField(default=0)
    price = models.DecimalField(max_digits=10, decimal_places=2)
    due = models.DateField()
    first_due = models.DateField(null=True, blank=True, help_text="As it was when the order was sent.")

    class Meta:
        ordering = ["order", "id"]
        constraints = [
            models.UniqueConstraint(fields=["order", "part"], name="part_once_per_purchase_order"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="purchase_line_buys_something"),
            models.CheckConstraint(condition=Q(received__lte=F("quantity")), name="received_within_ordered"),
            models.CheckConstraint(
                condition=Q(reserved__gte=0) & Q(quantity__gte=F("received") + F("reserved")),
                name="reserved_within_what_is_to_come",
            ),
            models.CheckConstraint(condition=Q(price__gte=0), name="purchase_price_not_negative"),
        ]
        indexes = [models.Index(fields=["part", "due"], name="inbound_by_part_and_date")]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} on {self.order}"


class Receipt(models.Model):
    """One delivery, as far as one purchase order is concerned; its movements refer to the lines."""

    order = models.ForeignKey(PurchaseOrder, on_delete=models.PROTECT, related_name="receipts")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    delivery_note = models.CharField(max_length=60)
    charges = models.DecimalField(
        max_digits=12, decimal_places=2, default=Decimal(0), help_text="Freight, duty and the like."
    )

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(fields=["order", "delivery_note"], name="delivery_note_booked_once"),
            models.CheckConstraint(condition=Q(charges__gte=0), name="charges_not_negative"),
        ]

    def __str__(self) -> str:
        return f"delivery note {self.delivery_note} for {self.order}"


class ReceiptLine(models.Model):
    receipt = models.ForeignKey(Receipt, on_delete=models.PROTECT, related_name="lines")
    purchase_line = models.ForeignKey(PurchaseLine, on_delete=models.PROTECT, related_name="receipt_lines")
    quantity = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="receipt_line_receives_something"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.purchase_line.part}"
