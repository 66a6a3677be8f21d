"""Count rounds and corrections of the ledger."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from inventory import counting, rounds
from inventory.models import Correction, CountLine, CountRound, Lot, Part, Place
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers import counting as shapes
from shop.api.serializers.stock import MovementSerializer

from .shared import ByNumber, all_of, body

_LINES = ("lines__part__maker", "lines__place", "lines__lot", "lines__entries__by")
_LINE = OpenApiParameter("line", OpenApiTypes.INT, "path")


class CountRounds(ByNumber, viewsets.ReadOnlyModelViewSet[CountRound]):
    """What is counted, in walking order; blind, while stock goes on being used."""

    letter = "C"
    filterset_fields = ("state",)

    def get_queryset(self) -> QuerySet[CountRound]:
        found = CountRound.objects.select_related("made_by")
        return found if self.action == "list" else found.prefetch_related(*_LINES)

    def get_serializer_class(self) -> type[BaseSerializer[CountRound]]:
        return shapes.CountRoundBriefSerializer if self.action == "list" else shapes.CountRoundSerializer

    @extend_schema(request=shapes.MakeRoundSerializer, responses={201: shapes.CountRoundSerializer})
    @keyed()
    def create(self, request: Request) -> Response:
        """Make a round of all that lies in these places, and of these parts wherever they lie."""
        wish = body(shapes.MakeRoundSerializer, request)
        parts = all_of(Part.objects.all(), wish.get("parts", []), "parts")
        made = rounds.make_round(
            acting_user(request), wish["why"], places=_places(wish["places"]), parts=parts
        )
        return _answer(made)

    @extend_schema(request=shapes.MakeDueRoundSerializer, responses={201: shapes.CountRoundSerializer})
    @action(detail=False, methods=["post"])
    @keyed()
    def due(self, request: Request) -> Response:
        """Make a round of what is due for a count today, the most urgent things."""
        most = body(shapes.MakeDueRoundSerializer, request)["most"]
        return _answer(rounds.make_due_round(acting_user(request), most))

    @extend_schema(
        request=shapes.EnterCountSerializer, responses=shapes.CountLineSerializer, parameters=[_LINE]
    )
    @action(detail=True, methods=["post"], url_path=r"lines/(?P<line>\d{1,18})/enter")
    @keyed()
    def enter(self, request: Request, line: str, **_: Any) -> Response:
        """Enter what was found. The line's `state` says whether that settles it, or it is counted again."""
        count = body(shapes.EnterCountSerializer, request)
        counted = rounds.enter_count(
            acting_user(request), self._line(line), count["found"], count["counted_at"]
        )
        return Response(shapes.CountLineSerializer(counted).data)

    @extend_schema(request=shapes.ReasonSerializer, responses=shapes.CountLineSerializer, parameters=[_LINE])
    @action(detail=True, methods=["post"], url_path=r"lines/(?P<line>\d{1,18})/leave")
    @keyed()
    def leave(self, request: Request, line: str, **_: Any) -> Response:
        """Leave a line uncounted, and say why."""
        reason = body(shapes.ReasonSerializer, request)["reason"]
        left = rounds.leave_line(acting_user(request), self._line(line), reason)
        return Response(shapes.CountLineSerializer(left).data)

    def _line(self, line: str) -> CountLine:
        return get_object_or_404(CountLine, pk=int(line), round=self.get_object())


class Corrections(viewsets.ReadOnlyModelViewSet[Correction]):
    """Corrections of the ledger: those that wait for approval, and those that are decided."""

    queryset = Correction.objects.select_related(
        "part__maker", "place", "lot", "asked_by", "decided_by", "count_line__round"
    ).prefetch_related("count_line__entries__by")
    serializer_class = shapes.CorrectionSerializer
    filterset_fields = ("state", "part")
    lookup_value_regex = r"\d{1,18}"

    @extend_schema(request=None, responses=shapes.CorrectionSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def approve(self, request: Request, **_: Any) -> Response:
        """Post it to the ledger; by somebody else than asked for it."""
        return self._answer(counting.approve(acting_user(request), self.get_object()))

    @extend_schema(request=shapes.ReasonSerializer, responses=shapes.CorrectionSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def refuse(self, request: Request, **_: Any) -> Response:
        """Let the ledger stand as it is, and say why."""
        reason = body(shapes.ReasonSerializer, request)["reason"]
        return self._answer(counting.refuse(acting_user(request), self.get_object(), reason))

    @extend_schema(request=shapes.AdjustSerializer, responses={201: shapes.CorrectionSerializer})
    @action(detail=False, methods=["post"])
    @keyed()
    def adjust(self, request: Request) -> Response:
        """Pieces more or fewer in a place; over the shop's limit it waits for approval."""
        wish = body(shapes.AdjustSerializer, request)
        made = counting.adjust(
            acting_user(request), wish["part"], wish["place"], wish["change"], wish["reason"], _lot(wish)
        )
        return self._answer(made, 201)

    @extend_schema(request=shapes.ScrapSerializer, responses={201: MovementSerializer})
    @action(detail=False, methods=["post"])
    @keyed()
    def scrap(self, request: Request) -> Response:
        """Throw pieces away."""
        wish = body(shapes.ScrapSerializer, request)
        gone = counting.scrap(
            acting_user(request), wish["part"], wish["place"], wish["quantity"], wish["reason"], _lot(wish)
        )
        return Response(MovementSerializer(gone).data, status=201)

    def _answer(self, correction: Correction, status: int = 200) -> Response:
        """The correction read anew, so that nothing fetched before the act is answered."""
        fresh = self.get_queryset().get(pk=correction.pk)
        return Response(shapes.CorrectionSerializer(fresh).data, status=status)


def _answer(round_: CountRound) -> Response:
    fresh = CountRound.objects.select_related("made_by").prefetch_related(*_LINES).get(pk=round_.pk)
    return Response(shapes.CountRoundSerializer(fresh).data, status=201)


def _places(codes: list[str]) -> list[Place]:
    found = list(Place.objects.filter(code__in=codes))
    if missing := sorted(set(codes) - {place.code for place in found}):
        raise serializers.ValidationError({"places": [f"There is no {code}." for code in missing]})
    return found


def _lot(wish: dict[str, Any]) -> Lot | None:
    """The lot that was named; the field is at fault if the part has none of that code."""
    if not wish["lot"]:
        return None
    lot = Lot.objects.filter(part=wish["part"], code=wish["lot"]).first()
    if lot is None:
        raise serializers.ValidationError({"lot": [f"There is no lot {wish['lot']} of this part."]})
    return lot
