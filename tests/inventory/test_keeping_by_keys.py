"""A hold finds its own rows of stock on PostgreSQL, however many parts the shop has, and reads no others."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.utils import timezone

from inventory.models import Category, Part, Stock
from inventory.reserving import hold
from tests.inventory.builders import a_maker

pytestmark = pytest.mark.django_db

MANY = 2000
KIT = 10

READ = """
SELECT seq_tup_read, idx_tup_fetch FROM pg_stat_xact_user_tables WHERE relname = 'inventory_stock'
"""


def test_a_hold_in_a_shop_of_many_parts_reads_only_the_rows_of_its_kit() -> None:
    parts = _many_parts()
    counter = User.objects.create_superuser("counter")
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE inventory_stock")
        # As it is after some calls of one connection: planned once, for lists of any length.
        cursor.execute("SET LOCAL plan_cache_mode = force_generic_plan")
        cursor.execute(READ)
        before = cursor.fetchone()
        wants = {part.pk: 1 for part in parts[:KIT]}
        hold(counter, wants, until=timezone.now() + timedelta(hours=1), reference="Q1")
        cursor.execute(READ)
        after = cursor.fetchone()
    read = after[0] - before[0] + after[1] - before[1]
    assert KIT <= read < MANY, f"{read} rows of stock were read for a kit of {KIT} parts"


def _many_parts() -> list[Part]:
    category = Category.objects.create(code="rings", name="Rings")
    maker = a_maker()
    parts = Part.objects.bulk_create(
        Part(maker=maker, number=f"R-{n}", key=f"R{n}", name="Ring", category=category, price=1)
        for n in range(MANY)
    )
    Stock.objects.bulk_create(Stock(part=part, on_hand=5, value=5) for part in parts)
    return parts
