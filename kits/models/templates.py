"""Kit templates: a revisioned list of slots. Released revisions never change."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from .engines import Engine


class KitTemplate(models.Model):
    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    purpose = models.TextField(help_text="What arrangement it turns into what other.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class TemplateRevision(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        RELEASED = "released", "released"
        WITHDRAWN = "withdrawn", "withdrawn"

    template = models.ForeignKey(KitTemplate, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=9, choices=State.choices, default=State.DRAFT)
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    engines = models.ManyToManyField(
        Engine, related_name="revisions", help_text="Engines that it is released for."
    )
    hours = models.DecimalField(
        max_digits=5, decimal_places=2, default=0, help_text="Fitting time, for the customer."
    )

    class Meta:
        ordering = ["template", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["template", "number"], name="revision_number_once_per_template"),
            # The counter opens new kits on the one released revision.
            models.UniqueConstraint(
                fields=["template"], condition=Q(state="released"), name="one_released_revision_per_template"
            ),
            models.CheckConstraint(
                condition=Q(state="draft", released_at__isnull=True)
                | (~Q(state="draft") & Q(released_at__isnull=False)),
                name="released_revision_has_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.template} revision {self.number}"


class FittingStep(models.Model):
    """What the fitter does, in which order, which way round. Torques come only from a recorded source."""

    revision = models.ForeignKey(TemplateRevision, on_delete=models.CASCADE, related_name="steps")
    sequence = models.PositiveSmallIntegerField()
    slot = models.ForeignKey("Slot", on_delete=models.CASCADE, null=True, blank=True, related_name="steps")
    text = models.TextField()
    way_round = models.CharField(max_length=200, blank=True)
    torque_nm = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    torque_source = models.CharField(max_length=120, blank=True)
    caution = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["revision", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "sequence"], name="steps_have_an_order"),
            models.CheckConstraint(
                condition=Q(torque_nm__isnull=True) | ~Q(torque_source=""), name="torque_has_a_source"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sequence}. {self.text[:60]}"
