"""One role per desk: which rights each has. Groups are made after every migrate, and only added to.

An owner may give a desk more rights in the admin; what is listed here is always there.
"""

from typing import Any

from django.apps import apps as installed
from django.apps.registry import Apps
from django.conf import settings
from django.contrib.auth.models import Group, Permission
from django.db.models import Q

from inventory.models import BuyingLimit

DESKS: dict[str, tuple[str, ...]] = {
    "counter": ("kits.customise", "shop.sell", "inventory.keep_stock"),
    "floor": ("inventory.pick", "inventory.receive_goods", "inventory.correct_stock", "inventory.count"),
    "buying": (
        "inventory.buy",
        "inventory.approve_orders",
        "inventory.handle_alerts",
        "inventory.receive_goods",
        "inventory.count",
        "inventory.approve_corrections",
    ),
    "catalogue": ("kits.keep_catalogue",),
}

# What the catalogue desk keeps through the admin, beside every model of kits.
_CATALOGUE_MODELS = (
    "maker",
    "category",
    "part",
    "alternatenumber",
    "supersession",
    "supplier",
    "offer",
    "pricebreak",
    "place",
    "target",
    "makeup",
)


def make_roles(apps: Apps = installed, **_: Any) -> None:
    """Connected to post_migrate by ShopConfig. `apps` are as the database has them: it may have gone back."""
    for desk, rights in DESKS.items():
        group, _made = Group.objects.get_or_create(name=desk)
        wanted = Q()
        for right in rights:
            app, codename = right.split(".")
            wanted |= Q(content_type__app_label=app, codename=codename)
        group.permissions.add(*Permission.objects.filter(wanted))
    if "buyinglimit" in apps.all_models["inventory"]:
        buyers = Group.objects.get(name="buying")
        BuyingLimit.objects.get_or_create(group=buyers, defaults={"most": settings.SHOP_BUYING_LIMIT})
    catalogue = Permission.objects.filter(
        Q(content_type__app_label="kits")
        | Q(content_type__app_label="inventory", content_type__model__in=_CATALOGUE_MODELS)
    ).exclude(codename="customise")
    Group.objects.get(name="catalogue").permissions.add(*catalogue.exclude(codename__startswith="delete_"))
