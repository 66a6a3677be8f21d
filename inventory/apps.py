"""Parts, places, the ledger, promises, walks and buying."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    name = "inventory"
    verbose_name = "Inventory"
