"""Notices to the counter: something happened to a quote or an order that its customer should hear of."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from .orders import Order
from .quotes import Quote


class Notice(models.Model):
    """One unseen notice for each thing and kind: it is updated, not repeated, until somebody has seen it."""

    class Kind(models.TextChoices):
        DATE_MOVED = "date moved", "the date moved"
        HOLD_TAKEN = "hold taken", "an order took the hold"
        PIECE_MISSING = "piece missing", "a piece is not where it should be"
        KEPT_NO_MORE = "kept no more", "its parts are no longer kept"

    kind = models.CharField(max_length=13, choices=Kind.choices)
    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, null=True, blank=True, related_name="notices")
    order = models.ForeignKey(Order, on_delete=models.PROTECT, null=True, blank=True, related_name="notices")
    text = models.CharField(max_length=500)
    made_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)
    seen_at = models.DateTimeField(null=True, blank=True)
    seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(quote__isnull=False, order__isnull=True)
                | Q(quote__isnull=True, order__isnull=False),
                name="a_notice_is_about_one_thing",
            ),
            models.UniqueConstraint(
                fields=["kind", "quote"],
                condition=Q(seen_at__isnull=True, quote__isnull=False),
                name="one_unseen_notice_of_a_quote",
            ),
            models.UniqueConstraint(
                fields=["kind", "order"],
                condition=Q(seen_at__isnull=True, order__isnull=False),
                name="one_unseen_notice_of_an_order",
            ),
            models.CheckConstraint(
                condition=Q(seen_at__isnull=True, seen_by__isnull=True)
                | Q(seen_at__isnull=False, seen_by__isnull=False),
                name="a_seen_notice_was_seen_by_somebody",
            ),
        ]
        indexes = [models.Index(fields=["seen_at"], condition=Q(seen_at__isnull=True), name="notices_unseen")]

    def __str__(self) -> str:
        return self.text
