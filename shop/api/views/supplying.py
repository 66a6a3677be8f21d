"""What to order, what came otherwise than ordered, and the letters to suppliers."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import buying, post
from inventory.models import Difference, SupplierMail
from inventory.suggesting import suggestions
from shop.api.filters import DifferenceFilter
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import supplying as shapes
from shop.api.serializers.buying import PurchaseOrderSerializer

from .purchase_acts import answer
from .shared import body


class Suggestions(viewsets.GenericViewSet[Any]):
    """What to order from whom, until when, and why; the first to send first."""

    serializer_class = shapes.SuggestionSerializer
    pagination_class = None
    filter_backends = ()

    @extend_schema(responses=shapes.SuggestionSerializer(many=True))
    def list(self, _request: Request) -> Response:
        """Orders by supplier, as of now. Nothing is written."""
        found = suggestions(timezone.now())
        return Response(shapes.SuggestionSerializer(found, many=True).data)

    @extend_schema(request=shapes.DraftSuggestedSerializer, responses={201: PurchaseOrderSerializer})
    @action(detail=False, methods=["post"])
    @keyed()
    def draft(self, request: Request) -> Response:
        """Put it into the draft to the supplier; what is in a draft already is not doubled."""
        wish = body(shapes.DraftSuggestedSerializer, request)
        quantities = {line["part"].pk: line["quantity"] for line in wish["lines"]}
        return answer(buying.draft_suggested(acting_user(request), wish["supplier"], quantities), 201)


class Differences(viewsets.ReadOnlyModelViewSet[Difference]):
    """What suppliers delivered otherwise than ordered, and how it was settled."""

    serializer_class = shapes.DifferenceSerializer
    filterset_class = DifferenceFilter
    queryset = Difference.objects.select_related(
        "line__part__maker", "line__order__supplier", "by", "settled_by"
    )

    @extend_schema(request=shapes.HowSerializer, responses=shapes.DifferenceSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def settle(self, request: Request, **_: object) -> Response:
        """Say how it was settled: credited, replaced, paid for, sent back."""
        how = body(shapes.HowSerializer, request)["how"]
        settled = buying.settle(acting_user(request), self.get_object(), how)
        return Response(shapes.DifferenceSerializer(self.get_queryset().get(pk=settled.pk)).data)


class SupplierMails(mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet[SupplierMail]):
    """Letters to suppliers. One that stays as being sent may have left or not: a person decides."""

    serializer_class = shapes.SupplierMailSerializer
    filterset_fields = ("state", "about")

    def get_queryset(self) -> QuerySet[SupplierMail]:
        return SupplierMail.objects.select_related("order__supplier")

    @extend_schema(request=None, responses=shapes.SupplierMailSerializer)
    @action(detail=True, methods=["post"], url_path="send-again")
    @keyed()
    def send_again(self, request: Request, **_: object) -> Response:
        """Let it leave once more, under the same Message-ID, to the supplier's address of today."""
        return self._mail(post.send_again(acting_user(request), self.get_object()))

    @extend_schema(request=shapes.MaybeHowSerializer, responses=shapes.SupplierMailSerializer)
    @action(detail=True, methods=["post"], url_path="count-as-sent")
    @keyed()
    def count_as_sent(self, request: Request, **_: object) -> Response:
        """The supplier has it, as somebody found out."""
        how = body(shapes.MaybeHowSerializer, request)["how"]
        return self._mail(post.count_as_sent(acting_user(request), self.get_object(), how))

    def _mail(self, mail: SupplierMail) -> Response:
        return Response(shapes.SupplierMailSerializer(self.get_queryset().get(pk=mail.pk)).data)
