"""Suppliers, what they sell and by which terms, and limits; orders to them, demand and targets are only read.

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
    Target,
    TargetRun,
)
from .read_only import ReadOnlyAdmin, ReadOnlyInline

if TYPE_CHECKING:
    _Admin = admin.ModelAdmin[Any]
    _Inline = admin.TabularInline[Any, Any]
else:
    _Admin = admin.ModelAdmin
    _Inline = admin.TabularInline


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


class PurchaseLineInline(ReadOnlyInline):
    model = PurchaseLine
    fields = ("part", "ordered", "quantity", "received", "price", "first_due", "due")


@admin.register(PurchaseOrder)
class PurchaseOrderAdmin(ReadOnlyAdmin):
    list_display = ("number", "supplier", "state", "made_by", "approved_by", "send_by", "sent_at")
    list_filter = ("state", "supplier")
    list_select_related = ("supplier", "made_by", "approved_by")
    inlines = (PurchaseLineInline,)


@admin.register(Difference)
class DifferenceAdmin(ReadOnlyAdmin):
    list_display = ("line", "kind", "quantity", "note", "at", "by", "settled_at", "settled_how")
    list_filter = ("kind",)
    list_select_related = ("line__part__maker", "line__order", "by")


@admin.register(Reminder)
class ReminderAdmin(ReadOnlyAdmin):
    list_display = ("line", "at", "by", "note")
    list_select_related = ("line__part__maker", "line__order", "by")


@admin.register(SupplierMail)
class SupplierMailAdmin(ReadOnlyAdmin):
    list_display = ("order", "about", "to", "state", "tried_at", "tries", "answer")
    list_filter = ("state", "about")
    list_select_related = ("order",)


@admin.register(Demand)
class DemandAdmin(ReadOnlyAdmin):
    list_display = ("day", "part", "quantity", "kind", "kit", "kits", "reference", "first_choice", "one_off")
    list_filter = ("kind", "one_off", "kit")
    search_fields = ("part__number", "reference")
    date_hierarchy = "day"
    list_select_related = ("part__maker", "first_choice__maker")


@admin.register(MonthlyDemand)
class MonthlyDemandAdmin(ReadOnlyAdmin):
    list_display = ("month", "part", "quantity")
    search_fields = ("part__number",)
    list_select_related = ("part__maker",)


@admin.register(TargetRun)
class TargetRunAdmin(ReadOnlyAdmin):
    list_display = ("pk", "started_at", "by", "stage", "parts_done", "parts", "wanted", "reached", "tied_up")
    list_filter = ("stage",)
    list_select_related = ("by",)


@admin.register(Target)
class TargetAdmin(ReadOnlyAdmin):
    list_display = ("part", "reorder_at", "up_to", "most", "set_by", "why")
    list_filter = ("set_by",)
    search_fields = ("part__number", "part__name")
    list_select_related = ("part__maker",)
