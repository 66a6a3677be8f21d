"""Notices to the counter: what its customers should hear of."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from shop import noticing
from shop.api.keys import keyed
from shop.api.people import acting_user
from shop.api.serializers.promises import NoticeSerializer
from shop.models import Notice


class Notices(mixins.ListModelMixin, viewsets.GenericViewSet[Notice]):
    """What nobody at the counter has seen yet, the newest first."""

    serializer_class = NoticeSerializer
    filterset_fields = ("kind",)

    def get_queryset(self) -> QuerySet[Notice]:
        if self.action == "list":
            return noticing.unseen()
        return Notice.objects.select_related("quote", "order", "seen_by")

    @extend_schema(request=None, responses=NoticeSerializer)
    @action(detail=True, methods=["post"])
    @keyed()
    def seen(self, request: Request, **_: Any) -> Response:
        """Somebody has read it: it is told no more, unless there is more to tell."""
        seen = noticing.seen(acting_user(request), self.get_object())
        return Response(NoticeSerializer(seen).data)
