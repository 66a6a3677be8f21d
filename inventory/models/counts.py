"""Counting: a round of places to count, what was found there, and corrections of the ledger."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q

from .ledger import Movement
from .parts import Lot, Part
from .places import Place


class CountRound(models.Model):
    class State(models.TextChoices):
        OPEN = "open", "open"
        DONE = "done", "done"

    state = models.CharField(max_length=4, choices=State.choices, default=State.OPEN)
    why = models.CharField(max_length=200)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        permissions = [("count", "Can make count rounds and count")]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="open", done_at__isnull=True) | Q(state="done", done_at__isnull=False),
                name="a_done_round_has_a_time",
            )
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return f"C{self.pk:05d}"


class CountLine(models.Model):
    """One part (and lot) in one place, to be counted without being told how many should be there."""

    class State(models.TextChoices):
        TO_COUNT = "to count", "to count"
        AGAIN = "again", "to count again"
        TO_APPROVE = "to approve", "waits for approval"
        AGREES = "agrees", "agrees"
        CORRECTED = "corrected", "corrected"
        LEFT = "left", "left as it was"

    round = models.ForeignKey(CountRound, on_delete=models.PROTECT, related_name="lines")
    sequence = models.PositiveIntegerField()
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="count_lines")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="count_lines")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    state = models.CharField(max_length=10, choices=State.choices, default=State.TO_COUNT)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["round", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["round", "sequence"], name="count_lines_have_an_order"),
            models.UniqueConstraint(
                fields=["round", "place", "part"],
                condition=Q(lot__isnull=True),
                name="counted_once_per_round",
            ),
            models.UniqueConstraint(
                fields=["round", "place", "part", "lot"],
                condition=Q(lot__isnull=False),
                name="lot_counted_once_per_round",
            ),
        ]
        indexes = [models.Index(fields=["part", "place"], name="count_lines_of_part")]

    def __str__(self) -> str:
        return f"{self.part} in {self.place}, round {self.round}"


class CountEntry(models.Model):
    """What somebody found at a moment, and what the ledger said for that very moment; only ever added."""

    line = models.ForeignKey(CountLine, on_delete=models.PROTECT, related_name="entries")
    found = models.PositiveIntegerField()
    expected = models.IntegerField()
    counted_at = models.DateTimeField()
    entered_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "count entries"

    def __str__(self) -> str:
        return f"{self.found} found, {self.expected} expected: {self.line}"

    @property
    def difference(self) -> int:
        return self.found - self.expected


class Correction(models.Model):
    """A change of what the ledger says lies in a place, with its reason.

    Above the shop's limit it waits until somebody else approves it; the movement is written then.
    """

    class State(models.TextChoices):
        ASKED = "asked", "waits for approval"
        POSTED = "posted", "posted"
        REFUSED = "refused", "refused"

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="corrections")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="corrections")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    change = models.IntegerField(help_text="Pieces more, or fewer if below zero.")
    value = models.DecimalField(max_digits=14, decimal_places=4, default=Decimal(0))
    reason = models.CharField(max_length=200)
    state = models.CharField(max_length=7, choices=State.choices, default=State.ASKED)
    asked_at = models.DateTimeField(auto_now_add=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    count_line = models.OneToOneField(
        CountLine, on_delete=models.PROTECT, null=True, blank=True, related_name="correction"
    )
    movement = models.OneToOneField(
        Movement, on_delete=models.PROTECT, null=True, blank=True, related_name="correction"
    )

    class Meta:
        ordering = ["-id"]
        permissions = [("approve_corrections", "Can approve corrections of stock over the limit")]
        constraints = [
            models.CheckConstraint(condition=~Q(change=0), name="correction_changes_something"),
            models.CheckConstraint(
                condition=Q(state="posted", movement__isnull=False)
                | Q(~Q(state="posted"), movement__isnull=True),
                name="a_posted_correction_has_its_movement",
            ),
            models.CheckConstraint(
                condition=Q(state="asked", decided_at__isnull=True)
                | Q(~Q(state="asked"), decided_at__isnull=False),
                name="a_decided_correction_has_a_time",
            ),
        ]
        indexes = [models.Index(fields=["state"], condition=Q(state="asked"), name="corrections_to_decide")]

    def __str__(self) -> str:
        return f"{self.change:+d} x {self.part} in {self.place}"
