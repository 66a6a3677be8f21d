"""Somebody at each desk, and the demo shop to work in."""

from collections.abc import Callable
from datetime import date

import pytest
from django.contrib.auth.models import Group, User

Clerk = Callable[[str], User]


@pytest.fixture
def clerk(db: None) -> Clerk:
    """`clerk("counter")` is a user with the rights of that desk; the same one throughout a test."""
    users: dict[str, User] = {}

    def at(desk: str) -> User:
        if desk not in users:
            user = User.objects.create_user(f"clerk-{desk}")
            user.groups.add(Group.objects.get(name=desk))
            users[desk] = user
        return users[desk]

    return at


@pytest.fixture
def demo(db: None) -> date:
    """The demo scenario, loaded as of today; the value is that day."""
    from django.utils import timezone

    from shop import demo as scenario

    today = timezone.localdate()
    scenario.load(today)
    return today
