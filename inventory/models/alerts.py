"""Alerts, and where they are told: webhooks of other systems."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from .parts import Part
from .purchases import PurchaseLine
from .reservations import Reservation
from .suppliers import Supplier


class Alert(models.Model):
    """Buying should act. One open alert per part, cause and `about`; it is updated, not repeated.

    `about` tells causes of one part apart: the late line, the hold at risk. `quantity` is what to order, 0
    where nothing is. `cost_to_wait` is what another day costs, `hits_on` when it is felt. A snoozed alert is
    quiet until its day; it clears like any other.
    """

    class Cause(models.TextChoices):
        BELOW_TARGET = "below target", "below target"
        ORDER_WAITS = "order waits", "an order waits"
        RUNS_OUT = "runs out", "runs out before more comes"
        LATE_LINE = "late line", "a late delivery starves an order"
        HOLD_AT_RISK = "hold at risk", "what a quote holds may not come in time"
        DEAD_STOCK = "dead stock", "lies here and is not asked for"
        PRICE_BREAK = "price break", "more at once costs less"

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="alerts")
    cause = models.CharField(max_length=12, choices=Cause.choices)
    about = models.CharField(max_length=20, blank=True, default="")
    reason = models.CharField(max_length=300)
    quantity = models.PositiveIntegerField()
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="alerts"
    )
    purchase_line = models.ForeignKey(
        PurchaseLine, on_delete=models.PROTECT, null=True, blank=True, related_name="alerts"
    )
    reservation = models.ForeignKey(
        Reservation, on_delete=models.PROTECT, null=True, blank=True, related_name="alerts"
    )
    order_by = models.DateField()
    hits_on = models.DateField(null=True, blank=True)
    cost_to_wait = models.DecimalField(max_digits=12, decimal_places=2, default=0)
    raised_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)
    cleared_at = models.DateTimeField(null=True, blank=True)
    snoozed_until = models.DateField(null=True, blank=True)
    snooze_reason = models.CharField(max_length=200, blank=True)
    snoozed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    mailed_at = models.DateTimeField(null=True, blank=True, help_text="When it was in a digest.")

    class Meta:
        ordering = ["order_by", "id"]
        permissions = [("handle_alerts", "Can handle alerts")]
        constraints = [
            models.UniqueConstraint(
                fields=["part", "cause", "about"],
                condition=Q(cleared_at__isnull=True),
                name="one_open_alert_per_cause",
            ),
            models.CheckConstraint(
                condition=Q(quantity__gt=0) | ~Q(cause__in=["below target", "order waits"]),
                name="alert_asks_for_something",
            ),
            models.CheckConstraint(condition=Q(cost_to_wait__gte=0), name="waiting_costs_not_less_than_none"),
            models.CheckConstraint(
                condition=Q(snoozed_until__isnull=True, snoozed_by__isnull=True, snooze_reason="")
                | (Q(snoozed_until__isnull=False, snoozed_by__isnull=False) & ~Q(snooze_reason="")),
                name="alert_is_snoozed_by_somebody_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.cause}"


class Webhook(models.Model):
    """Another system that hears of alerts, by signed messages (Standard Webhooks)."""

    url = models.URLField(unique=True)
    secret = models.CharField(max_length=100, help_text="whsec_ and 24 to 64 bytes in base64.")
    active = models.BooleanField(default=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(secret__startswith="whsec_"), name="webhook_secret_is_one"),  # noqa: S106  # a prefix
        ]

    def __str__(self) -> str:
        return self.url


class WebhookMessage(models.Model):
    """One message to one webhook: kept until it is delivered or given up, tried at growing distances."""

    class State(models.TextChoices):
        DUE = "due", "to be delivered"
        DELIVERED = "delivered", "delivered"
        GIVEN_UP = "given up", "given up"

    webhook = models.ForeignKey(Webhook, on_delete=models.PROTECT, related_name="messages")
    name = models.CharField(max_length=40, help_text="The same for every try: the webhook-id header.")
    body = models.JSONField()
    state = models.CharField(max_length=9, choices=State.choices, default=State.DUE)
    made_at = models.DateTimeField(auto_now_add=True)
    next_try = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    answer = models.CharField(max_length=200, blank=True, help_text="What came of the last try.")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["webhook", "name"], name="webhook_message_once"),
        ]
        indexes = [
            models.Index(fields=["next_try"], condition=Q(state="due"), name="webhook_messages_due"),
        ]

    def __str__(self) -> str:
        return f"{self.name} to {self.webhook}"
