"""Custom kits: a template revision, an engine, and what fills each slot."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.models import Part

from .engines import Engine
from .features import Feature
from .slots import Slot
from .templates import TemplateRevision


class CustomKit(models.Model):
    """`version` counts the swaps, so that two screens on one kit cannot overwrite each other."""

    revision = models.ForeignKey(TemplateRevision, on_delete=models.PROTECT, related_name="custom_kits")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="custom_kits")
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    version = models.PositiveIntegerField(default=1)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-id"]
        permissions = [("customise", "Can open custom kits and swap parts")]

    def __str__(self) -> str:
        return f"{self.number} {self.revision.template} for {self.engine}"

    @property
    def number(self) -> str:
        return f"K{self.pk:05d}"


class Fill(models.Model):
    """What fills one slot of one custom kit."""

    class How(models.TextChoices):
        PARTS = "parts", "shop part"
        OWN = "own", "customer's own"
        REUSED = "reused", "re-used from the engine"
        LEFT_OUT = "left out", "left out"

    kit = models.ForeignKey(CustomKit, on_delete=models.CASCADE, related_name="fills")
    slot = models.ForeignKey(Slot, on_delete=models.PROTECT, related_name="fills")
    how = models.CharField(max_length=8, choices=How.choices)
    chosen = models.BooleanField(default=False, help_text="Asked for, and not only what the template gives.")
    agreed = models.CharField(max_length=200, blank=True, help_text="Who agreed to a substitution, and when.")

    class Meta:
        ordering = ["slot__position"]
        constraints = [models.UniqueConstraint(fields=["kit", "slot"], name="one_fill_per_slot")]

    def __str__(self) -> str:
        return f"{self.slot}: {self.get_how_display()}"


class FillPart(models.Model):
    """`quantity` is for the whole kit, slot quantity and substitution ratio included."""

    fill = models.ForeignKey(Fill, on_delete=models.CASCADE, related_name="parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["fill", "id"]
        constraints = [
            models.UniqueConstraint(fields=["fill", "part"], name="part_once_per_fill"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="fill_part_uses_something"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part}"


class OwnFeature(Feature):
    """A dimension that the customer gave of their own part."""

    fill = models.ForeignKey(Fill, on_delete=models.CASCADE, related_name="own_features")

    class Meta(Feature.Meta):
        constraints = [
            *Feature.Meta.constraints,
            models.UniqueConstraint(fields=["fill", "kind"], name="own_feature_once_per_fill"),
        ]
