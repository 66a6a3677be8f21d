"""How the pages write money, numbers with a sign, and verdicts."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template
from django.conf import settings

register = template.Library()

CENT = Decimal("0.01")


@register.filter
def money(amount: Decimal | None) -> str:
    """'1 234.50', always two decimals; nothing for nothing. The currency stands in the heading."""
    if amount is None:
        return ""
    return f"{amount.quantize(CENT):,.2f}".replace(",", "\u202f").replace("-", "\u2212")


@register.filter
def signed(amount: Decimal | None) -> str:
    """'+12.00', '−3.50', or 'same price'."""
    if amount is None:
        return ""
    if not amount:
        return "same price"
    return f"+{money(amount)}" if amount > 0 else money(amount)


@register.filter
def of_100(share: Decimal | float | None) -> str:
    """A share between 0 and 1 as how many of 100, with a tenth; nothing for nothing."""
    return "" if share is None else f"{Decimal(share) * 100:.1f}".removesuffix(".0")


@register.filter
def words(value: Any) -> str:
    """A verdict in words, whether it comes as the enum or as its text."""
    return str(getattr(value, "value", value))


@register.inclusion_tag("desks/parts/verdict.html")
def verdict(value: Any, size: str = "") -> dict[str, str]:
    """The verdict as a shape and its words; the shape alone never carries it."""
    said = words(value)
    return {"words": said, "shape": said.replace(" ", "-"), "size": size}


@register.inclusion_tag("desks/parts/verdict.html")
def standing(value: Any) -> dict[str, str]:
    """The same for where a candidate stands among the whole kits."""
    return {"words": value.words, "shape": value.shape, "size": ""}


@register.simple_tag
def currency() -> str:
    return str(settings.SHOP_CURRENCY)


@register.filter
def typed_in(typed: Any, field: str) -> str:
    """What was typed into a field whose name is put together in the template."""
    return str(typed.get(field, ""))


@register.filter
def lots_field(pk: int) -> str:
    """The name of the field that takes the lots or serial numbers of a part or a line."""
    return f"lots-{pk}"


@register.filter
def quantity_field(pk: int) -> str:
    """The name of the field that takes how many of a line came."""
    return f"quantity-{pk}"
