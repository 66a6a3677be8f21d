"""Customers, quotes and orders in the admin: customers can be put right, the rest is only read.

What was quoted, ordered or built is changed by the acts of the desks alone, which keep its history.
"""

from typing import TYPE_CHECKING, Any

from django.contrib import admin

from inventory.read_only import ReadOnlyAdmin, ReadOnlyInline

from .models import AsBuilt, Customer, Order, OrderKit, Parcel, Quote, QuoteKit, QuoteLine

if TYPE_CHECKING:
    _Admin = admin.ModelAdmin[Any]
    _Inline = admin.TabularInline[Any, Any]
else:
    _Admin = admin.ModelAdmin
    _Inline = admin.TabularInline


class QuoteKitInline(ReadOnlyInline):
    model = QuoteKit
    fields = ("title", "quantity", "standard_price", "price", "verdict")


class QuoteLineInline(ReadOnlyInline):
    model = QuoteLine
    fields = ("position", "kind", "text", "quantity", "unit_price")


class OrderKitInline(ReadOnlyInline):
    model = OrderKit
    fields = ("quote_kit", "ordinal", "parcel")


class ParcelInline(ReadOnlyInline):
    model = Parcel
    fields = ("packed_at", "packed_by", "shipped_at", "carrier", "tracking")


class AsBuiltInline(ReadOnlyInline):
    model = AsBuilt
    fields = ("part", "lot", "quantity")


@admin.register(Customer)
class CustomerAdmin(_Admin):
    list_display = ("name", "email", "phone")
    search_fields = ("name", "email", "phone")

    def has_delete_permission(self, *_: Any, **__: Any) -> bool:
        return False


@admin.register(Quote)
class QuoteAdmin(ReadOnlyAdmin):
    list_display = ("number", "customer", "state", "channel", "made_at", "valid_until", "gross", "currency")
    list_filter = ("state", "channel")
    search_fields = ("customer__name",)
    list_select_related = ("customer",)
    inlines = (QuoteKitInline,)


@admin.register(QuoteKit)
class QuoteKitAdmin(ReadOnlyAdmin):
    list_display = ("title", "quote", "quantity", "price", "verdict")
    list_filter = ("verdict",)
    search_fields = ("title", "quote__customer__name")
    list_select_related = ("quote",)
    inlines = (QuoteLineInline,)


@admin.register(Order)
class OrderAdmin(ReadOnlyAdmin):
    list_display = ("number", "customer", "state", "accepted_at", "promised_on")
    list_filter = ("state",)
    search_fields = ("customer__name",)
    list_select_related = ("customer",)
    inlines = (OrderKitInline, ParcelInline)


@admin.register(OrderKit)
class OrderKitAdmin(ReadOnlyAdmin):
    list_display = ("order", "quote_kit", "ordinal", "parcel")
    search_fields = ("order__customer__name", "quote_kit__title")
    list_select_related = ("order", "quote_kit", "parcel")
    inlines = (AsBuiltInline,)
