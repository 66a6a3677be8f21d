"""The demo scenario, loaded once for each file of tests, and put back as it was after each test."""

from collections.abc import Iterator
from datetime import date

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from shop.demo import load

TODAY = date(2031, 3, 17)


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    with django_db_blocker.unblock(), transaction.atomic():
        load(TODAY)
        yield
        transaction.set_rollback(True)


@pytest.fixture
def shop(loaded: None) -> Iterator[date]:
    """The day as of which the scenario was loaded."""
    with transaction.atomic():
        yield TODAY
        transaction.set_rollback(True)
