"""Engines: a family and its variants, with attributes and measured features."""

from django.db import models
from django.db.models import F, Q

from inventory.models import Part

from .features import Feature


class EngineFamily(models.Model):
    code = models.SlugField(max_length=20, unique=True)
    maker = models.CharField(max_length=80)
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["maker", "name"]
        verbose_name_plural = "engine families"

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class Engine(models.Model):
    """One variant of a family: what the customer has in the boat."""

    family = models.ForeignKey(EngineFamily, on_delete=models.PROTECT, related_name="engines")
    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=80)
    built_from = models.PositiveSmallIntegerField()
    built_to = models.PositiveSmallIntegerField(null=True, blank=True)
    plate = models.CharField(
        max_length=120, blank=True, help_text="How to tell it: plate, casting mark, colour."
    )

    class Meta:
        ordering = ["family", "code"]
        permissions = [("keep_catalogue", "Can change engines, parts, templates and release them")]
        constraints = [
            models.CheckConstraint(
                condition=Q(built_to__isnull=True) | Q(built_to__gte=F("built_from")),
                name="engine_years_in_order",
            )
        ]

    def __str__(self) -> str:
        return f"{self.family} {self.code}"


class EngineAttribute(models.Model):
    """What rules ask about: the crank nose has a keyway or not, the housing is iron or aluminium."""

    engine = models.ForeignKey(Engine, on_delete=models.CASCADE, related_name="attributes")
    name = models.SlugField(max_length=40)
    value = models.CharField(max_length=60)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["engine", "name"], name="attribute_once_per_engine")]

    def __str__(self) -> str:
        return f"{self.name}: {self.value}"


class EngineFeature(Feature):
    engine = models.ForeignKey(Engine, on_delete=models.CASCADE, related_name="features")

    class Meta(Feature.Meta):
        constraints = [
            *Feature.Meta.constraints,
            models.UniqueConstraint(fields=["engine", "kind"], name="feature_once_per_engine"),
        ]


class OriginalPart(models.Model):
    """A part that the engine left its maker with, for those who ask what came off."""

    engine = models.ForeignKey(Engine, on_delete=models.CASCADE, related_name="original_parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="original_on")
    function = models.CharField(max_length=60)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["engine", "function"], name="one_original_part_per_function")
        ]

    def __str__(self) -> str:
        return f"{self.function}: {self.part}"
