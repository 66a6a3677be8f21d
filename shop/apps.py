"""Customers, quotes, orders and the desks."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, post_save


class ShopConfig(AppConfig):
    name = "shop"
    verbose_name = "Shop"

    def ready(self) -> None:
        from .post_box import letter_written
        from .roles import make_roles

        # Without a sender: rights of all three apps exist once the last of them has been migrated.
        post_migrate.connect(make_roles, sender=self)
        # The store room writes letters and knows nobody who sends them.
        post_save.connect(letter_written, sender="inventory.SupplierMail")
