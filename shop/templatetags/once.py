"""`{% once %}` in a form that acts: sent twice, it is done once. Built in, so no template loads it."""

from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shop.desks.once import FIELD, fresh_key

register = template.Library()


@register.simple_tag
def once() -> SafeString:
    """A hidden field with a key that no other form has."""
    return format_html('<input type="hidden" name="{}" value="{}">', FIELD, fresh_key())
