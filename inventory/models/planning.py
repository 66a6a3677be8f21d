"""What the buying desk steers by: target levels, and the runs that reckon them."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from .parts import Part


class TargetRun(models.Model):
    """One reckoning of all targets. It goes on where it stopped: parts done carry its number."""

    class Stage(models.TextChoices):
        PARTS = "parts", "reckons the parts"
        KITS = "kits", "reckons the kits"
        DONE = "done", "done"
        FAILED = "failed", "stopped by an error"

    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")
    stage = models.CharField(max_length=6, choices=Stage.choices, default=Stage.PARTS)
    parts = models.PositiveIntegerField(default=0, help_text="How many there are to reckon.")
    parts_done = models.PositiveIntegerField(default=0)
    wanted = models.DecimalField(
        max_digits=5, decimal_places=4, help_text="The share of kits to ship complete from stock."
    )
    budget = models.DecimalField(
        max_digits=12, decimal_places=2, null=True, blank=True, help_text="Or the money to tie up at most."
    )
    reached = models.DecimalField(max_digits=5, decimal_places=4, null=True, blank=True)
    tied_up = models.DecimalField(max_digits=14, decimal_places=2, null=True, blank=True)
    frontier = models.JSONField(default=list, help_text="Pairs: money tied up, share of kits complete.")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(condition=Q(wanted__gt=0, wanted__lt=1), name="target_run_wants_a_share"),
            models.CheckConstraint(
                condition=Q(parts_done__lte=F("parts")), name="target_run_does_no_more_than_all"
            ),
            models.CheckConstraint(
                condition=Q(stage__in=["parts", "kits"], ended_at__isnull=True)
                | Q(stage__in=["done", "failed"], ended_at__isnull=False),
                name="target_run_ends_when_done",
            ),
            models.UniqueConstraint(
                fields=["stage"], condition=Q(stage="parts"), name="one_target_run_at_parts"
            ),
            models.UniqueConstraint(
                fields=["stage"], condition=Q(stage="kits"), name="one_target_run_at_kits"
            ),
        ]

    def __str__(self) -> str:
        return f"reckoning {self.pk} of {self.started_at:%Y-%m-%d}"


class Target(models.Model):
    """Order when the stock that is free or coming falls to `reorder_at`; order up to `up_to`.

    A target set by hand is left alone by every run. `most` is what the shelf takes. `figures` is what the
    run reckoned with, for people to read: demand, class, method, lead time, why, and what one more or one
    fewer would do.
    """

    class SetBy(models.TextChoices):
        HAND = "hand", "by hand"
        PART = "part", "for this part by itself"
        KITS = "kits", "for whole kits"

    part = models.OneToOneField(Part, on_delete=models.CASCADE, related_name="target")
    reorder_at = models.PositiveIntegerField()
    up_to = models.PositiveIntegerField()
    most = models.PositiveIntegerField(null=True, blank=True, help_text="As many as the shelf takes.")
    why = models.CharField(max_length=200)
    set_by = models.CharField(max_length=4, choices=SetBy.choices, default=SetBy.HAND)
    run = models.ForeignKey(
        TargetRun, on_delete=models.PROTECT, null=True, blank=True, related_name="targets"
    )
    figures = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            # Both 0: the part is not to be bought any more.
            models.CheckConstraint(
                condition=Q(up_to__gt=F("reorder_at")) | Q(up_to=0, reorder_at=0),
                name="target_up_to_above_reorder",
            ),
            models.CheckConstraint(
                condition=Q(set_by="hand") | Q(run__isnull=False), name="target_reckoned_by_a_run"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: order at {self.reorder_at}, up to {self.up_to}"


class BuyingLimit(models.Model):
    """Up to which total the people of a role may approve an order to a supplier; without one, nothing."""

    group = models.OneToOneField("auth.Group", on_delete=models.CASCADE, related_name="buying_limit")
    most = models.DecimalField(max_digits=12, decimal_places=2)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(most__gte=Decimal(0)), name="buying_limit_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.group}: up to {self.most}"
