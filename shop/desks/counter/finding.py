"""Finding engines, customers and papers from what is said at the counter."""

from __future__ import annotations

import re

from django.db.models import Q, QuerySet

from kits.models import Engine
from shop.models import Customer, Order, Quote

MOST = 12
_YEAR = re.compile(r"(19|20)[0-9]{2}")
_NUMBER = re.compile(r"([QSqs])0*([0-9]{1,9})")


def find_engines(words: str) -> list[Engine]:
    """Engines of which every word is in the name, code, maker or plate, or is a year of building."""
    found = Engine.objects.select_related("family")
    for word in words.split():
        said = (
            Q(name__icontains=word)
            | Q(code__icontains=word)
            | Q(plate__icontains=word)
            | Q(family__name__icontains=word)
            | Q(family__maker__icontains=word)
        )
        if _YEAR.fullmatch(word):
            year = int(word)
            said |= Q(built_from__lte=year) & (Q(built_to__isnull=True) | Q(built_to__gte=year))
        found = found.filter(said)
    return list(found[:MOST])


def find_customers(words: str) -> list[Customer]:
    """Customers by name, telephone or e-mail address."""
    if not words:
        return []
    said = Q(name__icontains=words) | Q(email__icontains=words) | Q(phone__contains=words)
    return list(Customer.objects.filter(said)[:MOST])


def find_quotes(words: str) -> QuerySet[Quote]:
    """The latest quotes; with words, those of that number or customer. An order is found by its quote."""
    found = Quote.objects.select_related("customer", "order").prefetch_related("kits")
    number = _NUMBER.fullmatch(words)
    if number:
        letter, digits = number.groups()
        found = found.filter(**{"pk" if letter in "Qq" else "order__pk": int(digits)})
    elif words:
        found = found.filter(customer__name__icontains=words)
    return found[:MOST]


def waiting_orders() -> QuerySet[Order]:
    return Order.objects.filter(state=Order.State.WAITING).select_related("customer").order_by("accepted_at")
