"""Parts: one thing on a shelf, of one maker, under one part number."""

import re
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Upper


def scan_key(number: str) -> str:
    """A part number as a scanner or a hurried person gives it: capitals and digits only."""
    return re.sub(r"[^0-9A-Z]", "", number.upper())


class Maker(models.Model):
    code = models.SlugField(max_length=20, unique=True)
    name = models.CharField(max_length=80, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Category(models.Model):
    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "categories"

    def __str__(self) -> str:
        return self.name


class Part(models.Model):
    class Costing(models.TextChoices):
        AVERAGE = "average", "moving average"
        LOT = "lot", "each lot at its own cost"

    class Tracking(models.TextChoices):
        NONE = "none", "not tracked"
        LOT = "lot", "by lot"
        SERIAL = "serial", "by serial number"

    class Standing(models.TextChoices):
        CURRENT = "current", "current"
        RUN_OUT = "run out", "sold until gone"
        ENDED = "ended", "no longer sold"

    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, related_name="parts")
    number = models.CharField(max_length=40)
    key = models.CharField(max_length=40, editable=False, db_index=True)
    name = models.CharField(max_length=120)
    category = models.ForeignKey(Category, on_delete=models.PROTECT, related_name="parts")
    price = models.DecimalField(max_digits=10, decimal_places=2)
    tracking = models.CharField(max_length=6, choices=Tracking.choices, default=Tracking.NONE)
    standing = models.CharField(max_length=7, choices=Standing.choices, default=Standing.CURRENT)
    costing = models.CharField(max_length=7, choices=Costing.choices, default=Costing.AVERAGE)
    home = models.ForeignKey("Place", on_delete=models.PROTECT, null=True, blank=True, related_name="home_of")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["maker__name", "number"]
        constraints = [
            models.UniqueConstraint("maker", Upper("number"), name="part_number_once_per_maker"),
            models.CheckConstraint(condition=Q(price__gte=0), name="part_price_not_negative"),
            models.CheckConstraint(
                condition=Q(costing="average") | ~Q(tracking="none"), name="only_tracked_parts_cost_by_lot"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.maker.name} {self.number} {self.name}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.key = scan_key(self.number)
        super().save(*args, **kwargs)


class AlternateNumber(models.Model):
    """Another number under which the same part is known: on an old box, a barcode, a supplier's list."""

    class Kind(models.TextChoices):
        BARCODE = "barcode", "barcode"
        EARLIER = "earlier", "maker's earlier number"
        TRADE = "trade", "number used in the trade"

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="alternate_numbers")
    number = models.CharField(max_length=40)
    key = models.CharField(max_length=40, editable=False, db_index=True)
    kind = models.CharField(max_length=7, choices=Kind.choices)

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["part", "key"], name="alternate_number_once_per_part")]

    def __str__(self) -> str:
        return self.number

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.key = scan_key(self.number)
        super().save(*args, **kwargs)


class Supersession(models.Model):
    """The maker replaced one part by another; `drop_in` says that nothing else has to change."""

    old = models.OneToOneField(Part, on_delete=models.PROTECT, related_name="superseded_by")
    new = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="supersedes")
    since = models.DateField()
    drop_in = models.BooleanField(default=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(old=F("new")), name="supersession_not_by_itself"),
        ]

    def __str__(self) -> str:
        return f"{self.old} is superseded by {self.new}"

    def clean(self) -> None:
        """No line of parts comes back to itself."""
        seen = set[int]()
        part: int | None = self.new_id
        while part is not None and part not in seen:
            if part == self.old_id:
                raise ValidationError(
                    f"{self.new} is superseded by {self.old} itself in the end: take that out first."
                )
            seen.add(part)
            later = Supersession.objects.filter(old=part).exclude(pk=self.pk)
            part = later.values_list("new", flat=True).first()


class Lot(models.Model):
    """A delivered batch or a single serial-numbered piece of a tracked part.

    `on_hand` and `value` are kept for parts that cost by lot; for others they stay 0.
    """

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="lots")
    code = models.CharField(max_length=40)
    on_hand = models.PositiveIntegerField(default=0)
    value = models.DecimalField(max_digits=14, decimal_places=4, default=Decimal(0))

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["part", "code"], name="lot_once_per_part"),
            models.CheckConstraint(
                condition=Q(value=0) | Q(on_hand__gt=0, value__gt=0),
                name="an_empty_lot_is_worth_nothing",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Makeup(models.Model):
    """How many of a component go into one piece of a part that the shop itself makes up: a kit on a shelf."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="makeup")
    component = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="goes_into")
    quantity = models.PositiveIntegerField()

    class Meta:
        ordering = ["part", "component"]
        verbose_name_plural = "makeup"
        constraints = [
            models.UniqueConstraint(fields=["part", "component"], name="component_once_per_makeup"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="makeup_takes_something"),
            models.CheckConstraint(condition=~Q(part=F("component")), name="made_up_of_other_parts"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.component} in {self.part}"
