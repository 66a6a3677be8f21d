"""What was asked of the shop, part by part: dated as it happened, and by month from before that."""

from django.db import models
from django.db.models import F, Q

from .parts import Part


class Demand(models.Model):
    """`quantity` pieces of a part, asked for on a day, written by acts as it happens. A return counts up too.

    A part of a kit names the kit's template and how many kits the pieces went into; all lines of those kits
    share a `reference`. `first_choice` is the part in whose place this one went: empty, it was first choice
    itself.
    """

    class Kind(models.TextChoices):
        KIT = "kit", "out in a kit"
        LOOSE = "loose", "sold by itself"
        WORK = "work", "used by the workshop"
        LOST = "lost", "asked for and not had"
        RETURN = "return", "came back"

    part = models.ForeignKey(  # Indexed below, with the day.
        Part, on_delete=models.PROTECT, related_name="asked_for", db_index=False
    )
    day = models.DateField()
    quantity = models.PositiveIntegerField()
    kind = models.CharField(max_length=6, choices=Kind.choices)
    first_choice = models.ForeignKey(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="stood_in_for"
    )
    one_off = models.BooleanField(default=False, help_text="A large order that will not come again.")
    kit = models.CharField(max_length=40, blank=True, help_text="The code of the kit's template.")
    kits = models.PositiveSmallIntegerField(default=0, help_text="How many kits these pieces went into.")
    reference = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["day", "id"]
        verbose_name_plural = "demand"
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="demand_asks_for_something"),
            models.CheckConstraint(
                condition=Q(kit="", kits=0) | (~Q(kit="") & Q(kits__gt=0)), name="demand_of_a_kit_counts_kits"
            ),
            models.CheckConstraint(
                condition=~Q(kind="kit") | ~Q(kit=""), name="demand_in_a_kit_names_the_kit"
            ),
            models.CheckConstraint(
                condition=Q(first_choice__isnull=True) | ~Q(first_choice=F("part")),
                name="demand_stands_in_for_another",
            ),
        ]
        indexes = [
            models.Index(fields=["part", "day"], name="demand_by_part_and_day"),
            models.Index(fields=["day"], name="demand_by_day"),
            models.Index(fields=["reference"], name="demand_by_reference"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} on {self.day:%Y-%m-%d}, {self.get_kind_display()}"


class MonthlyDemand(models.Model):
    """What a shop brings along from before: a month's pieces of a part, returns netted."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="demand")
    month = models.DateField(help_text="The first day of the month.")
    quantity = models.PositiveIntegerField()

    class Meta:
        ordering = ["part", "month"]
        verbose_name_plural = "monthly demand"
        constraints = [
            models.UniqueConstraint(fields=["part", "month"], name="one_demand_per_part_and_month"),
            models.CheckConstraint(condition=Q(month__day=1), name="demand_month_starts_on_the_first"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} in {self.month:%Y-%m}"
