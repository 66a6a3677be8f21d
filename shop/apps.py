"""Customers, quotes, orders and the desks."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ShopConfig(AppConfig):
    name = "shop"
    verbose_name = "Shop"

    def ready(self) -> None:
        from .roles import make_roles

        # Without a sender: rights of all three apps exist once the last of them has been migrated.
        post_migrate.connect(make_roles, sender=self)
