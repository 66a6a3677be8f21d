"""Loads the whole scenario in one transaction, in the order in which things refer to each other."""

from __future__ import annotations

import datetime

from django.db import transaction

from inventory.models import Part
from kits.models import Engine, KitTemplate

from .engines import load_engines
from .known import Known
from .parts import load_parts
from .reading import FixtureError
from .templates import load_templates

_MARK = "belt-front"  # the template by which a loaded scenario is known


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
        known = Known()
        load_parts(known, today)
        load_engines(known)
        load_templates(known)
