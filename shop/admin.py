"""Customers, quotes, orders and targets in the admin: customers can be put right, the rest is only read.

What was quoted, ordered or built is changed by the acts of the desks alone, which keep its history.
"""

from typing import TYPE_CHECKING, Any

from django.contrib import admin

from inventory.models import Target, TargetRun

from .models import AsBuilt, Customer, Order, OrderKit, Parcel, Quote, QuoteKit, QuoteLine

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


class _ReadOnlyInline(_ReadOnly, _Inline):
    extra = 0
    can_delete = False


class QuoteKitInline(_ReadOnlyInline):
    model = QuoteKit
    fields = ("title", "quantity", "standard_price", "price", "verdict")


class QuoteLineInline(_ReadOnlyInline):
    model = QuoteLine
    fields = ("position", "kind", "text", "quantity", "unit_price")


class OrderKitInline(_ReadOnlyInline):
    model = OrderKit
    fields = ("quote_kit", "ordinal", "parcel")


class ParcelInline(_ReadOnlyInline):
    model = Parcel
    fields = ("packed_at", "packed_by", "shipped_at", "carrier", "tracking")


class AsBuiltInline(_ReadOnlyInline):
    model = AsBuilt
    fields = ("part", "lot", "quantity")


@admin.register(Customer)
class CustomerAdmin(_Admin):
    list_display = ("name", "email", "phone")
    search_fields = ("name", "email", "phone")

    def has_delete_permission(self, *_: Any, **__: Any) -> bool:
        return False


@admin.register(Quote)
class QuoteAdmin(_ReadOnly, _Admin):
    list_display = ("number", "customer", "state", "channel", "made_at", "valid_until", "gross", "currency")
    list_filter = ("state", "channel")
    search_fields = ("customer__name",)
    list_select_related = ("customer",)
    inlines = (QuoteKitInline,)


@admin.register(QuoteKit)
class QuoteKitAdmin(_ReadOnly, _Admin):
    list_display = ("title", "quote", "quantity", "price", "verdict")
    list_filter = ("verdict",)
    search_fields = ("title", "quote__customer__name")
    list_select_related = ("quote",)
    inlines = (QuoteLineInline,)


@admin.register(Order)
class OrderAdmin(_ReadOnly, _Admin):
    list_display = ("number", "customer", "state", "accepted_at", "promised_on")
    list_filter = ("state",)
    search_fields = ("customer__name",)
    list_select_related = ("customer",)
    inlines = (OrderKitInline, ParcelInline)


@admin.register(OrderKit)
class OrderKitAdmin(_ReadOnly, _Admin):
    list_display = ("order", "quote_kit", "ordinal", "parcel")
    search_fields = ("order__customer__name", "quote_kit__title")
    list_select_related = ("order", "quote_kit", "parcel")
    inlines = (AsBuiltInline,)


@admin.register(TargetRun)
class TargetRunAdmin(_ReadOnly, _Admin):
    list_display = ("pk", "started_at", "by", "stage", "parts_done", "parts", "wanted", "reached", "tied_up")
    list_filter = ("stage",)
    list_select_related = ("by",)


@admin.register(Target)
class TargetAdmin(_ReadOnly, _Admin):
    list_display = ("part", "reorder_at", "up_to", "most", "set_by", "why")
    list_filter = ("set_by",)
    search_fields = ("part__number", "part__name")
    list_select_related = ("part__maker",)
