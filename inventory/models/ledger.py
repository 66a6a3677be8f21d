"""The ledger of movements, only ever added, and the balances that are derived from it.

`Balance` is kept per place (and lot), `Stock` per part; both are written in the same transaction as
the movement by `inventory.ledger`, and `manage.py check_ledger` proves that they agree.
"""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from .parts import Lot, Part
from .places import Place


class Movement(models.Model):
    class Act(models.TextChoices):
        RECEIVE = "receive", "received"
        PUT_AWAY = "put away", "put away"
        MOVE = "move", "moved"
        PICK = "pick", "picked"
        PUT_BACK = "put back", "put back"
        PACK = "pack", "packed"
        SHIP = "ship", "shipped"
        RETURN = "return", "returned"
        SCRAP = "scrap", "scrapped"
        COUNT = "count", "count difference"
        ADJUST = "adjust", "adjusted"
        MAKE_UP = "make up", "made up"
        TAKE_APART = "take apart", "taken apart"

    at = models.DateTimeField(db_index=True)
    act = models.CharField(max_length=10, choices=Act.choices)
    # Indexed below, with the id; a lot and a purchase line only where there is one.
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="movements", db_index=False)
    lot = models.ForeignKey(
        Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="movements", db_index=False
    )
    quantity = models.PositiveIntegerField()
    origin = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="movements_out")
    destination = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="movements_in")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    reference = models.CharField(max_length=60, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    value = models.DecimalField(
        max_digits=14,
        decimal_places=4,
        default=Decimal(0),
        help_text="What the pieces cost, landed, as they come into the shop or leave it; 0 within it.",
    )
    purchase_line = models.ForeignKey(
        "PurchaseLine",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="movements",
        db_index=False,
    )

    class Meta:
        ordering = ["id"]
        permissions = [
            ("receive_goods", "Can receive goods and put them away"),
            ("correct_stock", "Can correct stock"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="movement_moves_something"),
            models.CheckConstraint(condition=~Q(origin=F("destination")), name="movement_changes_place"),
            models.CheckConstraint(condition=Q(value__gte=0), name="movement_value_not_negative"),
        ]
        indexes = [
            models.Index(fields=["part", "id"], name="movement_history_of_part"),
            models.Index(fields=["lot"], condition=Q(lot__isnull=False), name="movements_of_lot"),
            models.Index(
                fields=["purchase_line"],
                condition=Q(purchase_line__isnull=False),
                name="movements_of_purchase_line",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} {self.origin} to {self.destination}"


class Balance(models.Model):
    """What lies in one place; `allotted` is what walks have already spoken for there."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="balances")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="balances")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="balances")
    quantity = models.IntegerField(default=0)
    allotted = models.IntegerField(default=0)

    class Meta:
        ordering = ["part", "place"]
        constraints = [
            models.UniqueConstraint(
                fields=["part", "place"], condition=Q(lot__isnull=True), name="one_balance_per_place"
            ),
            models.UniqueConstraint(
                fields=["part", "place", "lot"], condition=Q(lot__isnull=False), name="one_balance_per_lot"
            ),
            models.CheckConstraint(condition=Q(quantity__gte=0), name="balance_not_below_zero"),
            models.CheckConstraint(
                condition=Q(allotted__gte=0, allotted__lte=F("quantity")), name="allotted_within_balance"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} in {self.place}"


class Stock(models.Model):
    """One row per part: the row that is locked, in part order, before stock is promised or moved.

    `held` and `committed` count only what is kept from stock on hand; what is kept from a purchase
    line is counted on that line. `value` is what all that is on hand cost, landed.
    """

    part = models.OneToOneField(Part, on_delete=models.PROTECT, primary_key=True, related_name="stock")
    on_hand = models.IntegerField(default=0)
    held = models.IntegerField(default=0)
    committed = models.IntegerField(default=0)
    value = models.DecimalField(max_digits=14, decimal_places=4, default=Decimal(0))

    class Meta:
        ordering = ["part"]
        verbose_name_plural = "stock"
        constraints = [
            models.CheckConstraint(condition=Q(on_hand__gte=0), name="on_hand_not_below_zero"),
            models.CheckConstraint(condition=Q(held__gte=0, committed__gte=0), name="kept_not_below_zero"),
            models.CheckConstraint(
                condition=Q(on_hand__gte=F("held") + F("committed")), name="kept_within_on_hand"
            ),
            models.CheckConstraint(
                condition=Q(value=0) | Q(on_hand__gt=0, value__gt=0), name="nothing_on_hand_is_worth_nothing"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.on_hand} on hand of {self.part}"
