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
        APPROVED = "approved", "approved"
        SENT = "sent", "sent"
        CLOSED = "closed", "closed"

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="purchase_orders")
    state = models.CharField(max_length=8, choices=State.choices, default=State.DRAFT)
    made_at = models.DateTimeField(auto_now_add=True)
    approved_at = models.DateTimeField(null=True, blank=True)
    approved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    send_by = models.DateField(null=True, blank=True, help_text="Sent later, something comes too late.")
    carriage = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, help_text="As it was when it was sent."
    )
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-id"]
        permissions = [
            ("buy", "Can order from suppliers"),
            ("approve_orders", "Can approve orders to suppliers, up to the limit of the role"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["draft", "approved"], sent_at__isnull=True)
                | Q(state__in=["sent", "closed"], sent_at__isnull=False),
                name="purchase_order_sent_has_a_time",
            ),
            models.CheckConstraint(
                condition=Q(state="draft", approved_at__isnull=True, approved_by__isnull=True)
                | (~Q(state="draft") & Q(approved_at__isnull=False, approved_by__isnull=False)),
                name="purchase_order_is_approved_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(carriage__isnull=True) | Q(carriage__gte=0),
                name="purchase_carriage_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return f"B{self.pk:05d}"


class PurchaseLine(models.Model):
    """`reserved` is what reservations already count on from what is still to come.

    `quantity` is what is counted on, `ordered` what the order said when it was sent: they differ where the
    supplier delivered more, or will not deliver the rest.
    """

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
    ordered = models.PositiveIntegerField(null=True, blank=True, help_text="As it was when it was sent.")

    class Meta:
        ordering = ["order", "id"]
        constraints = [
            models.UniqueConstraint(fields=["order", "part"], name="part_once_per_purchase_order"),
            models.CheckConstraint(
                condition=Q(quantity__gt=0) | Q(ordered__isnull=False, ordered__gt=0),
                name="purchase_line_buys_something",
            ),
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


class Difference(models.Model):
    """What a supplier delivered otherwise than ordered, until it is settled with them."""

    class Kind(models.TextChoices):
        OVER = "over", "more than ordered"
        SHORT = "short", "less than ordered"
        SPOILT = "spoilt", "not fit for use"
        OTHER = "other", "something else than ordered"

    line = models.ForeignKey(PurchaseLine, on_delete=models.PROTECT, related_name="differences")
    receipt = models.ForeignKey(
        Receipt, on_delete=models.PROTECT, null=True, blank=True, related_name="differences"
    )
    kind = models.CharField(max_length=6, choices=Kind.choices)
    quantity = models.PositiveIntegerField()
    note = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    settled_how = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="difference_is_one"),
            models.CheckConstraint(
                condition=Q(settled_at__isnull=True, settled_by__isnull=True, settled_how="")
                | (Q(settled_at__isnull=False, settled_by__isnull=False) & ~Q(settled_how="")),
                name="difference_is_settled_by_somebody_somehow",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.line.part}, {self.get_kind_display()}, on {self.line.order}"


class Reminder(models.Model):
    """Somebody asked the supplier where a line stays, and what the answer was."""

    line = models.ForeignKey(PurchaseLine, on_delete=models.PROTECT, related_name="reminders")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.line.order}, {self.at:%Y-%m-%d}: {self.note}"


class SupplierMail(models.Model):
    """A letter to a supplier. It leaves at most once: who sends it first writes that it is being sent.

    If the sender dies between that and the answer of the mail server, nobody knows whether it left: it stays
    `SENDING`, and a person decides. Its `message_id` stays the same, so a second one is known as a copy.
    """

    class State(models.TextChoices):
        WAITING = "waiting", "waits to be sent"
        SENDING = "sending", "is being sent"
        SENT = "sent", "sent"
        FAILED = "failed", "refused"

    class About(models.TextChoices):
        ORDER = "order", "an order"
        REMINDER = "reminder", "a reminder"

    order = models.ForeignKey(PurchaseOrder, on_delete=models.PROTECT, related_name="mails")
    about = models.CharField(max_length=8, choices=About.choices, default=About.ORDER)
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    body = models.TextField()
    message_id = models.CharField(max_length=120, unique=True)
    state = models.CharField(max_length=7, choices=State.choices, default=State.WAITING)
    made_at = models.DateTimeField(auto_now_add=True)
    tried_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    answer = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["order"], condition=Q(about="order"), name="one_letter_per_purchase_order"
            ),
            models.CheckConstraint(
                condition=Q(state="waiting") | Q(tried_at__isnull=False), name="a_letter_tried_has_a_time"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_about_display()}, {self.order}, to {self.to}"
