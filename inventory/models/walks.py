"""Walks: one trip of a picker for many orders, stop by stop."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from .parts import Lot, Part
from .places import Place
from .reservations import Reservation


class Walk(models.Model):
    class State(models.TextChoices):
        OPEN = "open", "open"
        DONE = "done", "done"
        GIVEN_UP = "given up", "given up"

    state = models.CharField(max_length=8, choices=State.choices, default=State.OPEN)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        permissions = [("pick", "Can make walks, pick, pack and ship")]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="open", done_at__isnull=True) | Q(~Q(state="open"), done_at__isnull=False),
                name="a_done_walk_has_a_time",
            )
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        return f"W{self.pk:05d}"


class WalkStop(models.Model):
    """Take `quantity` of the part out of the place, for one reservation.

    `let_go` of them will not be taken here after all: the bin held fewer, or the walk was given up.
    """

    walk = models.ForeignKey(Walk, on_delete=models.PROTECT, related_name="stops")
    sequence = models.PositiveSmallIntegerField()
    reservation = models.ForeignKey(Reservation, on_delete=models.PROTECT, related_name="stops")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    quantity = models.PositiveIntegerField()
    picked = models.PositiveIntegerField(default=0)
    let_go = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["walk", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["walk", "sequence"], name="walk_stops_have_an_order"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="stop_takes_something"),
            models.CheckConstraint(
                condition=Q(quantity__gte=F("picked") + F("let_go")), name="picked_within_wanted"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part} from {self.place}"

    @property
    def left(self) -> int:
        return self.quantity - self.picked - self.let_go
