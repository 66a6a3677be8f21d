"""Checks: computed conditions on features, and the shop works that turn a miss into a fit."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from inventory.models import Category
from kits.fit import KINDS

from .features import FeatureKind
from .slots import Slot
from .templates import TemplateRevision


def kind_choices() -> list[tuple[str, str]]:
    """Every kind of check there is. A callable, so that a new kind needs no migration."""
    return [(kind.code, kind.name) for kind in KINDS.values()]


def role_choices() -> list[tuple[str, str]]:
    """Every role that a term of some kind of check may have."""
    return list({role.code: role.name for kind in KINDS.values() for role in kind.roles}.items())


class Check(models.Model):
    """A condition on features, of one of the kinds in `kits.fit.KINDS`.

    A chain's or a pair's sum must lie between `at_least` and `at_most` (10 nm units); a pair is bore
    minus shaft: positive is clearance, negative interference. Other kinds work their limits out from
    `settings`, texts by the codes that the kind names. `open_slot` names the slot whose part follows
    from the others, a spacer say.
    """

    revision = models.ForeignKey(TemplateRevision, on_delete=models.CASCADE, related_name="checks")
    code = models.SlugField(max_length=40)
    kind = models.CharField(max_length=20, choices=kind_choices)
    name = models.CharField(max_length=120)
    at_least = models.BigIntegerField(null=True, blank=True)
    at_most = models.BigIntegerField(null=True, blank=True)
    settings = models.JSONField(default=dict, blank=True)
    open_slot = models.ForeignKey(Slot, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    caution = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["revision", "code"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "code"], name="check_code_once_per_revision"),
            models.CheckConstraint(
                condition=~Q(kind__in=("chain", "pair"))
                | Q(at_least__isnull=False)
                | Q(at_most__isnull=False),
                name="check_wants_something",
            ),
            models.CheckConstraint(
                condition=Q(at_least__isnull=True) | Q(at_most__isnull=True) | Q(at_least__lte=F("at_most")),
                name="check_limits_in_order",
            ),
            models.CheckConstraint(
                condition=Q(open_slot__isnull=True) | Q(kind="chain"), name="only_a_chain_has_an_open_link"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CheckTerm(models.Model):
    """One link: a feature of the engine (no slot) or of what fills a slot, times sign and factor.

    Its role is one of those that the kind of its check has. When the slot is re-used from the engine,
    `reused` names the engine's feature that takes its place.
    """

    # "check" is taken: django.db.models.Model.check runs the system checks.
    of = models.ForeignKey(Check, on_delete=models.CASCADE, related_name="terms")
    sequence = models.PositiveSmallIntegerField()
    role = models.CharField(max_length=20, choices=role_choices, default="link")
    slot = models.ForeignKey(Slot, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    feature = models.ForeignKey(FeatureKind, on_delete=models.PROTECT, related_name="+")
    reused = models.ForeignKey(FeatureKind, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sign = models.SmallIntegerField(default=1)
    times = models.PositiveSmallIntegerField(default=1)
    over = models.PositiveSmallIntegerField(default=1, help_text="2 for half of a diameter.")

    class Meta:
        ordering = ["of", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["of", "sequence"], name="check_terms_have_an_order"),
            models.CheckConstraint(condition=Q(sign__in=(-1, 1)), name="check_term_adds_or_takes"),
            models.CheckConstraint(condition=Q(times__gt=0, over__gt=0), name="check_term_factor_positive"),
            models.CheckConstraint(
                condition=~Q(role__in=("bore", "shaft")) | Q(role="bore", sign=1) | Q(role="shaft", sign=-1),
                name="a_pair_is_bore_minus_shaft",
            ),
            models.UniqueConstraint(
                fields=["of", "role"], condition=Q(role__in=("bore", "shaft")), name="one_bore_and_one_shaft"
            ),
        ]

    def __str__(self) -> str:
        return f"{'+' if self.sign > 0 else '-'} {self.feature} of {self.slot or 'the engine'}"


class ShopWork(models.Model):
    """An operation on one feature of a category of parts: it takes off or opens up to `most`."""

    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    category = models.ForeignKey(Category, on_delete=models.PROTECT, related_name="works")
    feature = models.ForeignKey(FeatureKind, on_delete=models.PROTECT, related_name="+")
    lowers = models.BooleanField(help_text="Turning a diameter down lowers it; boring a hole raises it.")
    most = models.BigIntegerField(help_text="The most that may be taken off, in 10 nm.")
    keeps = models.BigIntegerField(help_text="Plus or minus that the work keeps, in 10 nm.")
    price = models.DecimalField(max_digits=8, decimal_places=2)
    minutes = models.PositiveSmallIntegerField()
    done_by = models.CharField(max_length=80)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(most__gt=0, keeps__gte=0), name="work_takes_something"),
            models.CheckConstraint(condition=Q(price__gte=0), name="work_price_not_negative"),
            models.UniqueConstraint(
                fields=["category", "feature", "lowers"], name="one_work_per_category_feature_and_direction"
            ),
        ]

    def __str__(self) -> str:
        return self.name
