"""Reservations: a hold keeps stock for a quote until a time, a commitment keeps it for an order.

A reservation keeps all its lines or none. A line is kept from stock on hand, or from a named
purchase line that is still to come.
"""

from django.db import models
from django.db.models import Q

from .parts import Part


class Reservation(models.Model):
    class Kind(models.TextChoices):
        HOLD = "hold", "hold"
        COMMITMENT = "commitment", "commitment"

    class State(models.TextChoices):
        KEPT = "kept", "kept"
        LAPSED = "lapsed", "lapsed"
        RELEASED = "released", "released"
        GAVE_WAY = "gave way", "gave way to an order"
        USED = "used", "used up"

    kind = models.CharField(max_length=10, choices=Kind.choices)
    state = models.CharField(max_length=8, choices=State.choices, default=State.KEPT)
    reference = models.CharField(max_length=60)
    made_at = models.DateTimeField(auto_now_add=True)
    until = models.DateTimeField(null=True, blank=True)
    wanted_on = models.DateField(
        null=True, blank=True, help_text="The pieces need not be here before this day; empty: at once."
    )

    class Meta:
        ordering = ["id"]
        permissions = [("keep_stock", "Can hold and commit stock")]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="hold", until__isnull=False) | Q(kind="commitment", until__isnull=True),
                name="only_holds_end_by_themselves",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=["lapsed", "gave way"]) | Q(kind="hold"),
                name="a_commitment_never_lapses",
            ),
        ]
        indexes = [
            models.Index(fields=["until"], condition=Q(state="kept", kind="hold"), name="holds_by_end"),
            models.Index(fields=["kind"], condition=Q(state="kept"), name="kept_now"),
            models.Index(
                fields=["wanted_on"],
                condition=Q(state="kept", wanted_on__isnull=False),
                name="kept_for_later",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} for {self.reference}"


class ReservationLine(models.Model):
    reservation = models.ForeignKey(Reservation, on_delete=models.PROTECT, related_name="lines")
    # A part's lines are very many and nearly all long over: only those that wait are found by it.
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="reservation_lines", db_index=False)
    quantity = models.PositiveIntegerField()
    purchase_line = models.ForeignKey(
        "PurchaseLine",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="reservation_lines",
        db_index=False,
    )

    class Meta:
        ordering = ["part", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="reservation_keeps_something"),
            models.UniqueConstraint(
                fields=["reservation", "part"],
                condition=Q(purchase_line__isnull=True),
                name="one_line_from_stock_per_part",
            ),
            models.UniqueConstraint(
                fields=["reservation", "purchase_line"],
                condition=Q(purchase_line__isnull=False),
                name="one_line_per_purchase_line",
            ),
        ]
        indexes = [
            models.Index(fields=["part"], condition=Q(purchase_line__isnull=False), name="waiting_by_part"),
            models.Index(
                fields=["purchase_line"],
                condition=Q(purchase_line__isnull=False),
                name="waiting_by_purchase_line",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} for {self.reservation}"
