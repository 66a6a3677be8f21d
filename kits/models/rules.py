"""Rules: stated conditions over engine, slots and parts."""

from django.db import models
from django.db.models import Q

from .slots import Slot
from .templates import KitTemplate, TemplateRevision


class Rule(models.Model):
    """When all its `when` terms hold:

    needs: all `then` terms must hold too; clashes: the kit does not go; never: the kit does not exist
    on this engine, `instead` is offered; note: `text` is said.
    """

    class Kind(models.TextChoices):
        NEEDS = "needs", "needs"
        CLASHES = "clashes", "clashes"
        NEVER = "never", "never on this engine"
        NOTE = "note", "note"

    revision = models.ForeignKey(TemplateRevision, on_delete=models.CASCADE, related_name="rules")
    code = models.SlugField(max_length=40)
    kind = models.CharField(max_length=7, choices=Kind.choices)
    text = models.CharField(max_length=300, help_text="The reason in the trade's words, and what to do.")
    instead = models.ForeignKey(
        KitTemplate, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["revision", "code"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "code"], name="rule_code_once_per_revision"),
            models.CheckConstraint(
                condition=Q(instead__isnull=True) | Q(kind="never"),
                name="only_never_offers_something_instead",
            ),
        ]

    def __str__(self) -> str:
        return self.text


class RuleTerm(models.Model):
    """A term on the engine asks an attribute; a term on a slot asks what fills it.

    `name` is the attribute of the engine, or for a slot one of: filled (parts, own, reused, left out),
    part (scan key of any part in it), maker (code), category (code). The term holds when what it finds
    is among `values`, or, with `unless`, when it is not.
    """

    class Side(models.TextChoices):
        WHEN = "when", "when"
        THEN = "then", "then"

    SLOT_NAMES = ("filled", "part", "maker", "category")

    rule = models.ForeignKey(Rule, on_delete=models.CASCADE, related_name="terms")
    side = models.CharField(max_length=4, choices=Side.choices, default=Side.WHEN)
    slot = models.ForeignKey(Slot, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    name = models.SlugField(max_length=40)
    unless = models.BooleanField(default=False)
    values = models.JSONField(default=list)

    class Meta:
        ordering = ["rule", "side", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(slot__isnull=True) | Q(name__in=("filled", "part", "maker", "category")),
                name="slot_term_asks_what_a_slot_has",
            )
        ]

    def __str__(self) -> str:
        return f"{self.slot or 'engine'} {self.name} {'not ' if self.unless else ''}in {self.values}"
