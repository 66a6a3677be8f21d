"""Quotes: what was offered, at which prices, with which verdicts. A quote keeps what it was made with."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Round

from inventory.models import Part, Reservation
from kits.models import CustomKit, TemplateRevision

from .customers import Customer


class Quote(models.Model):
    class State(models.TextChoices):
        OPEN = "open", "open"
        ACCEPTED = "accepted", "accepted"
        WITHDRAWN = "withdrawn", "withdrawn"
        REPLACED = "replaced", "replaced by another"
        LOST = "lost", "lost"

    class LostFor(models.TextChoices):
        NOT_IN_TIME = "not in time", "not in time"
        TOO_DEAR = "too dear", "too dear"
        OTHER = "other", "another reason"

    class Channel(models.TextChoices):
        PHONE = "phone", "by phone"
        WEB = "web", "by web"
        BENCH = "bench", "at the counter"

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="quotes")
    state = models.CharField(max_length=9, choices=State.choices, default=State.OPEN)
    channel = models.CharField(max_length=5, choices=Channel.choices, default=Channel.PHONE)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    valid_until = models.DateTimeField()
    wanted_on = models.DateField(
        null=True, blank=True, help_text="The customer does not want it before this day; empty: at once."
    )
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    currency = models.CharField(max_length=3)
    tax_percent = models.DecimalField(max_digits=5, decimal_places=2)
    net = models.DecimalField(max_digits=12, decimal_places=2)
    tax = models.DecimalField(max_digits=12, decimal_places=2)
    gross = models.DecimalField(max_digits=12, decimal_places=2)
    reservation = models.OneToOneField(
        Reservation, on_delete=models.PROTECT, null=True, blank=True, related_name="quote"
    )
    lost_why = models.CharField(max_length=11, choices=LostFor.choices, blank=True)
    lost_note = models.CharField(max_length=200, blank=True, help_text="What the customer said.")

    class Meta:
        ordering = ["-id"]
        permissions = [("sell", "Can quote, hold, and accept orders")]
        constraints = [
            # Rounded, because SQLite adds decimals as floats: 400.03 + 92.01 is not 492.04 there.
            models.CheckConstraint(
                condition=Q(gross=Round(F("net") + F("tax"), precision=2)),
                name="quote_gross_is_net_plus_tax",
            ),
            models.CheckConstraint(
                condition=(Q(state="lost") & ~Q(lost_why="")) | (~Q(state="lost") & Q(lost_why="")),
                name="a_lost_quote_says_why",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return f"Q{self.pk:05d}"


class QuoteKit(models.Model):
    """One custom kit as quoted. `record` is the frozen picture: verdicts, reasons, steps, cautions."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="kits")
    kit = models.ForeignKey(CustomKit, on_delete=models.PROTECT, related_name="quoted")
    revision = models.ForeignKey(TemplateRevision, on_delete=models.PROTECT, related_name="+")
    title = models.CharField(max_length=200)
    quantity = models.PositiveSmallIntegerField(default=1)
    standard_price = models.DecimalField(max_digits=10, decimal_places=2)
    price = models.DecimalField(max_digits=10, decimal_places=2)
    verdict = models.CharField(max_length=20)
    record = models.JSONField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="quote_kit_sells_something"),
            models.CheckConstraint(
                condition=Q(price__gte=0, standard_price__gte=0), name="quote_kit_price_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.title}"

    @property
    def difference(self) -> Decimal:
        """What the customer's swaps add to (or take off) the standard kit."""
        return self.price - self.standard_price


class QuoteLine(models.Model):
    """A part or a shop work of a quoted kit; quantities are for one kit."""

    class Kind(models.TextChoices):
        PART = "part", "part"
        WORK = "work", "shop work"
        ADJUSTMENT = "adjustment", "price agreement"

    quote_kit = models.ForeignKey(QuoteKit, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=Kind.choices)
    slot_code = models.CharField(max_length=40, blank=True)
    text = models.CharField(max_length=300)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    quantity = models.PositiveSmallIntegerField(default=1)
    unit_price = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["quote_kit", "position"]
        constraints = [
            models.UniqueConstraint(fields=["quote_kit", "position"], name="quote_lines_have_an_order"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="quote_line_sells_something"),
            models.CheckConstraint(
                condition=Q(kind="part", part__isnull=False) | (~Q(kind="part") & Q(part__isnull=True)),
                name="a_part_line_has_a_part",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.text}"
