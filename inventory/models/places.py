"""Places: bins with aisle, bay and level, benches and docks, and the outside world.

Every movement has a from and a to, so the outside world has places too. Only inside places carry
balances.
"""

from django.db import models
from django.db.models import Q


class Place(models.Model):
    class Kind(models.TextChoices):
        BIN = "bin", "bin"
        DOCK = "dock", "goods-in dock"
        BENCH = "bench", "packing bench"
        PACKED = "packed", "packed parcels"
        SUPPLIER = "supplier", "suppliers"
        CUSTOMER = "customer", "customers"
        SCRAP = "scrap", "scrap"
        COUNT = "count", "count differences"
        MAKING = "making", "made up and taken apart"

    INSIDE = (Kind.BIN, Kind.DOCK, Kind.BENCH, Kind.PACKED)

    code = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    hall = models.CharField(max_length=20, blank=True)
    aisle = models.PositiveSmallIntegerField(null=True, blank=True)
    bay = models.PositiveSmallIntegerField(null=True, blank=True)
    level = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["hall", "aisle", "bay", "level", "code"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(kind="bin") | Q(aisle__isnull=False, bay__isnull=False, level__isnull=False),
                name="bin_has_aisle_bay_level",
            ),
            models.UniqueConstraint(
                fields=["hall", "aisle", "bay", "level"], condition=Q(kind="bin"), name="one_bin_per_position"
            ),
            models.UniqueConstraint(
                fields=["kind"],
                condition=Q(kind__in=["supplier", "customer", "scrap", "count", "making"]),
                name="one_place_per_outside_kind",
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def is_inside(self) -> bool:
        return self.kind in self.INSIDE
