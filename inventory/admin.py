"""Suppliers, what they sell and by which terms, and limits; orders to them and demand are only read.

What was ordered, delivered or written is changed by the acts of the buying desk alone.
"""

from typing import TYPE_CHECKING, Any

from django.contrib import admin

from . import admin_alerts  # noqa: F401  # Django finds it only from here.
from .models import (
    BuyingLimit,
    Demand,
    Difference,
    MonthlyDemand,
    Offer,
    PriceBreak,
    PurchaseLine,
    PurchaseOrder,
    Reminder,
    Supplier,
    SupplierMail,
)

if TYPE_CHECKING:
    _Admin = admin.ModelAdmin[Any]
    _Inline = admin.TabularInline[Any, Any]
else:
    _Admin = admin.ModelAdmin
    _Inline = admin.TabularInline


class _ReadOnly:
    def has_add_permission(self, *_: Any, **__: Any) -> bool:
        return False

    def has_change_permission(self, *_: Any, **__: Any) -> bool:
        return False

    def has_delete_permission(self, *_: Any, **__: Any) -> bool:
        return False


@admin.register(Supplier)
class SupplierAdmin(_Admin):
    list_display = (
        "code",
        "name",
        "email",
        "lead_days",
        "review_days",
        "least_value",
        "carriage",
        "free_carriage_from",
    )
    search_fields = ("code", "name")


class PriceBreakInline(_Inline):
    model = PriceBreak
    extra = 1


@admin.register(Offer)
class OfferAdmin(_Admin):
    list_display = ("part", "supplier", "their_number", "price", "pack", "least", "lead_days")
    list_filter = ("supplier",)
    list_select_related = ("part__maker", "supplier")
    search_fields = ("their_number", "part__number", "part__key", "part__name")
    autocomplete_fields = ("part",)
    inlines = (PriceBreakInline,)


@admin.register(BuyingLimit)
class BuyingLimitAdmin(_Admin):
    """For the owner: whoever may change it could approve anything."""

    list_display = ("group", "most")
    list_select_related = ("group",)


class PurchaseLineInline(_ReadOnly, _Inline):
    model = PurchaseLine
    extra = 0
    can_delete = False
    fields = ("part", "ordered", "quantity", "received", "price", "first_due", "due")


@admin.register(PurchaseOrder)
class PurchaseOrderAdmin(_ReadOnly, _Admin):
    list_display = ("number", "supplier", "state", "made_by", "approved_by", "send_by", "sent_at")
    list_filter = ("state", "supplier")
    list_select_related = ("supplier", "made_by", "approved_by")
    inlines = (PurchaseLineInline,)


@admin.register(Difference)
class DifferenceAdmin(_ReadOnly, _Admin):
    list_display = ("line", "kind", "quantity", "note", "at", "by", "settled_at", "settled_how")
    list_filter = ("kind",)
    list_select_related = ("line__part__maker", "line__order", "by")


@admin.register(Reminder)
class ReminderAdmin(_ReadOnly, _Admin):
    list_display = ("line", "at", "by", "note")
    list_select_related = ("line__part__maker", "line__order", "by")


@admin.register(SupplierMail)
class SupplierMailAdmin(_ReadOnly, _Admin):
    list_display = ("order", "about", "to", "state", "tried_at", "tries", "answer")
    list_filter = ("state", "about")
    list_select_related = ("order",)


@admin.register(Demand)
class DemandAdmin(_ReadOnly, _Admin):
    list_display = ("day", "part", "quantity", "kind", "kit", "kits", "reference", "first_choice", "one_off")
    list_filter = ("kind", "one_off", "kit")
    search_fields = ("part__number", "reference")
    date_hierarchy = "day"
    list_select_related = ("part__maker", "first_choice__maker")


@admin.register(MonthlyDemand)
class MonthlyDemandAdmin(_ReadOnly, _Admin):
    list_display = ("month", "part", "quantity")
    search_fields = ("part__number",)
    list_select_related = ("part__maker",)
