"""Slots, the candidates that may fill them, and who may stand in for whom."""

from django.db import models
from django.db.models import F, Q

from inventory.models import Category, Part

from .engines import Engine
from .features import FeatureKind
from .templates import TemplateRevision


class Slot(models.Model):
    revision = models.ForeignKey(TemplateRevision, on_delete=models.CASCADE, related_name="slots")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    position = models.PositiveSmallIntegerField()
    required = models.BooleanField(default=True)
    quantity = models.PositiveSmallIntegerField(default=1)
    own_allowed = models.BooleanField("customer's own allowed", default=False)
    reuse_allowed = models.BooleanField("re-use from the engine allowed", default=False)
    never_reuse = models.CharField(
        max_length=200,
        blank=True,
        help_text="Why the engine's own must never be re-used; empty if it may be.",
    )

    class Meta:
        ordering = ["revision", "position"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "code"], name="slot_code_once_per_revision"),
            models.UniqueConstraint(fields=["revision", "position"], name="slots_have_an_order"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="slot_takes_something"),
            models.CheckConstraint(
                condition=Q(never_reuse="") | Q(reuse_allowed=False), name="never_reuse_is_never_allowed"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Candidate(models.Model):
    """One part, or several parts that come together (`parts`); or any part of a category whose feature
    lies within a band, so that a new part appears by itself."""

    slot = models.ForeignKey(Slot, on_delete=models.CASCADE, related_name="candidates")
    rank = models.PositiveSmallIntegerField(default=1)
    is_default = models.BooleanField(default=False)
    label = models.CharField(max_length=80, blank=True)
    category = models.ForeignKey(Category, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    feature = models.ForeignKey(
        FeatureKind, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lo = models.BigIntegerField(null=True, blank=True)
    hi = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["slot", "rank"]
        constraints = [
            models.UniqueConstraint(fields=["slot", "rank"], name="candidates_have_an_order"),
            models.UniqueConstraint(
                fields=["slot"], condition=Q(is_default=True), name="one_default_per_slot"
            ),
            models.CheckConstraint(
                condition=Q(category__isnull=True, feature__isnull=True)
                | Q(category__isnull=False, is_default=False),
                name="a_selection_has_a_category_and_is_no_default",
            ),
            models.CheckConstraint(
                condition=Q(feature__isnull=True, lo__isnull=True, hi__isnull=True)
                | Q(feature__isnull=False, lo__isnull=False, hi__isnull=False, lo__lte=F("hi")),
                name="a_selection_by_feature_has_a_band",
            ),
        ]

    def __str__(self) -> str:
        return self.label or f"candidate {self.rank} of {self.slot}"


class CandidatePart(models.Model):
    """`quantity` of the part is used for each unit of the slot's quantity."""

    candidate = models.ForeignKey(Candidate, on_delete=models.CASCADE, related_name="parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="candidacies")
    quantity = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["candidate", "id"]
        constraints = [
            models.UniqueConstraint(fields=["candidate", "part"], name="part_once_per_candidate"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="candidate_part_uses_something"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part}"


class Substitution(models.Model):
    """`stand_in` may replace `standard` in the slot, in this direction only.

    `takes` pieces of the stand-in do the work of `replaces` pieces of the standard part. With no
    engines named it holds on all of them.
    """

    class Agreement(models.TextChoices):
        NOBODY = "nobody", "nobody has to agree"
        COUNTER = "counter", "the counter has to agree"
        CUSTOMER = "customer", "the customer has to agree"

    class Pricing(models.TextChoices):
        DIFFERENCE = "difference", "the difference is charged"
        SAME = "same price", "the price stays the same"
        CREDIT = "credit", "only a lower price is passed on"

    slot = models.ForeignKey(Slot, on_delete=models.CASCADE, related_name="substitutions")
    standard = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    stand_in = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    replaces = models.PositiveSmallIntegerField(default=1)
    takes = models.PositiveSmallIntegerField(default=1)
    agreement = models.CharField(max_length=8, choices=Agreement.choices, default=Agreement.NOBODY)
    pricing = models.CharField(max_length=10, choices=Pricing.choices, default=Pricing.DIFFERENCE)
    engines = models.ManyToManyField(Engine, blank=True, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["slot", "id"]
        constraints = [
            models.UniqueConstraint(fields=["slot", "standard", "stand_in"], name="substitution_stated_once"),
            models.CheckConstraint(condition=~Q(standard=F("stand_in")), name="substitution_not_by_itself"),
            models.CheckConstraint(
                condition=Q(replaces__gt=0, takes__gt=0), name="substitution_ratio_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stand_in} for {self.standard}"
