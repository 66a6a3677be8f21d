"""Features: named dimensions, threads, counts and ratings of parts and engines, with their source.

The sense of a feature is that of ISO 5459 and ASME Y14.5. A length band is stored as two integers of
10 nm, a count as whole numbers, a rating in thousandths of its unit; a thread or another designation
is text.
"""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from inventory.models import Part
from kits.fit import Band, Length

RATING_STEPS = 1000  # A rating is kept in thousandths of its unit.


class FeatureKind(models.Model):
    class Quantity(models.TextChoices):
        LENGTH = "length", "length"
        COUNT = "count", "count"
        RATING = "rating", "rating"
        TEXT = "text", "designation"

    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    quantity = models.CharField(max_length=6, choices=Quantity.choices, default=Quantity.LENGTH)
    unit = models.CharField(max_length=12, blank=True, help_text="For ratings: l/min, kW, A.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Feature(models.Model):
    """Shared by features of parts, of engines, and of a customer's own part."""

    class Source(models.TextChoices):
        DRAWING = "drawing", "drawing"
        MAKER = "maker", "maker's data"
        MEASURED = "measured", "measured here"
        UNKNOWN = "unknown", "unknown"

    kind = models.ForeignKey(FeatureKind, on_delete=models.PROTECT, related_name="+")
    lo = models.BigIntegerField(null=True, blank=True)
    hi = models.BigIntegerField(null=True, blank=True)
    text = models.CharField(max_length=60, blank=True)
    source = models.CharField(max_length=8, choices=Source.choices)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(condition=Q(lo__lte=F("hi")), name="%(class)s_band_in_order"),
            models.CheckConstraint(
                condition=Q(lo__isnull=True, hi__isnull=True) | Q(lo__isnull=False, hi__isnull=False),
                name="%(class)s_band_whole_or_absent",
            ),
            models.CheckConstraint(
                condition=Q(source="unknown", lo__isnull=True, text="")
                | (~Q(source="unknown") & (Q(lo__isnull=False) | ~Q(text=""))),
                name="%(class)s_known_has_a_value",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.said}"

    @property
    def said(self) -> str:
        """The value as a person reads it, with its unit; an unknown one says so."""
        if self.text:
            return self.text
        if self.lo is None or self.hi is None:
            return "unknown"
        if self.kind.quantity == FeatureKind.Quantity.LENGTH:
            return str(self.band)
        steps = RATING_STEPS if self.kind.quantity == FeatureKind.Quantity.RATING else 1
        lo, hi = (f"{(Decimal(end) / steps).normalize():f}" for end in (self.lo, self.hi))
        return f"{lo if lo == hi else f'{lo} to {hi}'} {self.kind.unit}".strip()

    @property
    def band(self) -> Band | None:
        """The length band, or None where it is unknown (or not a length)."""
        if self.lo is None or self.hi is None:
            return None
        return Band(Length(self.lo), Length(self.hi))


class PartFeature(Feature):
    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="features")

    class Meta(Feature.Meta):
        constraints = [
            *Feature.Meta.constraints,
            models.UniqueConstraint(fields=["part", "kind"], name="feature_once_per_part"),
        ]
