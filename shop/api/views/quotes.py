"""Quotes: made of custom kits, held, accepted, withdrawn or lost."""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch, QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from shop import losing, ordering, quoting, requoting
from shop.api.filters import QuoteFilter
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import demand, promises
from shop.api.serializers import selling as shapes
from shop.models import Quote, QuoteKit, QuoteLine
from shop.sooner import quote_promise

from .orders import order_answer
from .shared import ByNumber, body

# The act locks the quote and reads it itself; only which one it is has to be known.
ACTS = ("hold", "prolong", "withdraw", "lose", "accept")


class Quotes(ByNumber, viewsets.ReadOnlyModelViewSet[Quote]):
    """What was offered, at which prices, with which verdicts. A quote keeps what it was made with."""

    letter = "Q"
    filterset_class = QuoteFilter

    def get_queryset(self) -> QuerySet[Quote]:
        if self.action in ACTS:
            return Quote.objects.all()
        quotes = Quote.objects.select_related("customer", "made_by")
        return quotes if self.action == "list" else _whole(quotes)

    def get_serializer_class(self) -> type[BaseSerializer[Quote]]:
        return shapes.QuoteBriefSerializer if self.action == "list" else shapes.QuoteSerializer

    @extend_schema(request=shapes.MakeQuoteSerializer, responses={201: shapes.QuoteSerializer})
    @keyed()
    def create(self, request: Request) -> Response:
        """Quote kits to a customer. A kit that does not go together is refused with its reasons."""
        wish = body(shapes.MakeQuoteSerializer, request)
        kits = [(line["kit"], line["quantity"]) for line in wish["kits"]]
        terms = {name: wish[name] for name in ("channel", "days", "wanted_on")}
        quote = quoting.quote(acting_user(request), wish["customer"], kits, **terms)
        return _answer(quote, 201)

    @extend_schema(request=shapes.HoldSerializer, responses=shapes.QuoteSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def hold(self, request: Request, **_: Any) -> Response:
        """Keep the stock for this quote until a time; whole or not at all."""
        wish = body(shapes.HoldSerializer, request)
        return _answer(quoting.hold(acting_user(request), self.get_object(), **wish))

    @extend_schema(request=promises.ProlongSerializer, responses=shapes.QuoteSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def prolong(self, request: Request, **_: Any) -> Response:
        """Let the hold end at another time, later or sooner."""
        wish = body(promises.ProlongSerializer, request)
        return _answer(quoting.prolong(acting_user(request), self.get_object(), **wish))

    @extend_schema(request=promises.SwapOnQuoteSerializer, responses={201: shapes.QuoteSerializer})
    @action(detail=True, methods=["post"])
    @keyed()
    def swap(self, request: Request, **_: Any) -> Response:
        """Fill a slot of a quoted kit otherwise: another quote replaces this one, and has its hold."""
        wish, quote = body(promises.SwapOnQuoteSerializer, request), self.get_object()
        kit = promises.quoted_kit(quote, wish["kit"])
        swapped = requoting.swap_on_quote(
            acting_user(request),
            quote,
            kit,
            wish["slot"],
            wish["key"],
            own=wish["own"],
            agreed=wish["agreed"],
        )
        return _answer(swapped, 201)

    @extend_schema(responses=promises.QuotePromiseSerializer)
    @action(detail=True)
    def promise(self, _request: Request, **_: Any) -> Response:
        """When it could ship, part by part, and what would make that sooner."""
        promised = quote_promise(self.get_object(), timezone.now())
        return Response(promises.QuotePromiseSerializer(promised).data)

    @extend_schema(request=None, responses=shapes.QuoteSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def withdraw(self, request: Request, **_: Any) -> Response:
        """Take the quote back and let go of what is held for it."""
        return _answer(quoting.withdraw(acting_user(request), self.get_object()))

    @extend_schema(request=demand.LoseSerializer, responses=demand.LostSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def lose(self, request: Request, **_: Any) -> Response:
        """The customer went without, and why; what could not be had in time counts as demand."""
        wish = body(demand.LoseSerializer, request)
        lost = losing.lose(acting_user(request), self.get_object(), **wish)
        answer = {"quote": _fresh(lost.quote), "missed": lost.missed}
        return Response(demand.LostSerializer(answer).data)

    @extend_schema(request=None, responses={201: shapes.OrderSerializer})
    @action(detail=True, methods=["post"])
    @keyed()
    def accept(self, request: Request, **_: Any) -> Response:
        """The customer takes it: it becomes an order, and its stock is committed or waited for."""
        return order_answer(ordering.accept(acting_user(request), self.get_object()), 201)


def _whole(quotes: QuerySet[Quote]) -> QuerySet[Quote]:
    kits, lines = QuoteKit.objects.select_related("kit"), QuoteLine.objects.select_related("part__maker")
    return quotes.select_related("reservation", "replaced_by").prefetch_related(
        Prefetch("kits", kits), Prefetch("kits__lines", lines)
    )


def _answer(quote: Quote, status: int = 200) -> Response:
    """The quote read anew, so that nothing fetched before the act is answered."""
    return Response(shapes.QuoteSerializer(_fresh(quote)).data, status=status)


def _fresh(quote: Quote) -> Quote:
    return _whole(Quote.objects.select_related("customer", "made_by")).get(pk=quote.pk)
