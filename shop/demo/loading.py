"""Loads the whole scenario in one transaction, in the order in which things refer to each other."""

from __future__ import annotations

import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.models import Part
from kits.models import Engine, KitTemplate

from .buying import load_purchase_orders, load_sales, load_suppliers, load_targets
from .customers import load_customers
from .engines import load_engines
from .kit_sales import load_kit_sales
from .known import Known
from .parts import load_parts
from .people import system_user
from .places import load_places
from .reading import FixtureError
from .releasing import release_all
from .stock import load_stock
from .templates import load_templates

_MARK = "belt-front"  # the template by which a loaded scenario is known
_OPENED_DAYS_AGO = 30


def is_loaded() -> bool:
    """Whether the demo scenario is in the database."""
    return KitTemplate.objects.filter(code=_MARK).exists()


def load(today: datetime.date) -> None:
    """Load the scenario as of `today`; where it is loaded already, nothing changes.

    Raises FixtureError where a file is wrong, or where the database holds other parts or engines.
    """
    with transaction.atomic():
        if is_loaded():
            return
        if Part.objects.exists() or Engine.objects.exists():
            raise FixtureError(
                "The database already holds parts or engines that are not the demo's. "
                "Load the demo into an empty database: name another one in DATABASE_URL."
            )
        _load(today, system_user())


def _load(today: datetime.date, by: User) -> None:
    morning = timezone.make_aware(datetime.datetime.combine(today, datetime.time(8)))
    known = Known()
    load_parts(known, today)
    load_engines(known)
    load_places(known)
    load_suppliers(known)  # Before the stock, which comes in at their prices.
    load_stock(known, by, morning - datetime.timedelta(days=_OPENED_DAYS_AGO))
    load_targets(known, morning)
    load_sales(known, today)
    load_purchase_orders(known, by, morning)
    load_customers()
    release_all(load_templates(known), by)
    load_kit_sales(known, today)
