"""Alerts, and the webhooks that hear of them, in the admin. Alerts and messages are only read.

A webhook's secret is made here and shown on its page, for whoever keeps the other system.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib import admin
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from .models import Alert, Webhook, WebhookMessage
from .read_only import ReadOnlyAdmin
from .webhooks import new_secret
from .webhooks.posting import Refused, check_address

if TYPE_CHECKING:
    _Admin = admin.ModelAdmin[Any]
    _Form = forms.ModelForm[Webhook]
else:
    _Admin, _Form = admin.ModelAdmin, forms.ModelForm


@admin.register(Alert)
class AlertAdmin(ReadOnlyAdmin):
    list_display = ("part", "cause", "cost_to_wait", "hits_on", "order_by", "cleared_at", "snoozed_until")
    list_filter = ("cause", ("cleared_at", admin.EmptyFieldListFilter))
    list_select_related = ("part__maker",)
    search_fields = ("part__key", "part__name")


class _WebhookForm(_Form):
    url = forms.URLField(assume_scheme="https")

    class Meta:
        model = Webhook
        fields = ("url", "active")

    def clean_url(self) -> str:
        """Said here, where it can be put right, and again with every message."""
        url: str = self.cleaned_data["url"]
        try:
            check_address(url)
        except Refused as error:
            raise ValidationError(str(error)) from error
        return url


@admin.register(Webhook)
class WebhookAdmin(_Admin):
    """Given up for good by what listens there, or by a person, it is inactive and hears nothing more."""

    form = _WebhookForm
    list_display = ("url", "active", "made_at")
    readonly_fields = ("secret", "made_at")

    def get_fields(self, _request: HttpRequest, obj: Webhook | None = None) -> tuple[str, ...]:
        return ("url", "active") if obj is None else ("url", "active", "secret", "made_at")

    def has_delete_permission(self, *_: Any, **__: Any) -> bool:
        return False  # What was told to it stays; make it inactive.

    def save_model(self, request: HttpRequest, obj: Webhook, form: Any, change: bool) -> None:
        """A new one gets its secret."""
        if not change:
            obj.secret = new_secret()
        super().save_model(request, obj, form, change)


@admin.register(WebhookMessage)
class WebhookMessageAdmin(ReadOnlyAdmin):
    list_display = ("name", "webhook", "state", "tries", "next_try", "answer")
    list_filter = ("state", "webhook")
    list_select_related = ("webhook",)
    search_fields = ("name",)
