"""How many whole kits could ship."""

from __future__ import annotations

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.planning import PlanningError
from kits.buildable import NoSuchConversion
from kits.how_many import overview
from kits.how_many_said import as_dict
from shop.api.serializers.how_many import HowManyAskedSerializer, HowManySerializer


class HowMany(APIView):
    """Whole kits from the shelves on a day, of all released conversions or of one."""

    @extend_schema(
        parameters=[HowManyAskedSerializer],
        responses=HowManySerializer,
    )
    def get(self, request: Request) -> Response:
        """The most kits of each conversion, alone and together, and which part is in the way of more.

        `exact` is false where a template has too many rules: then more kits than so many there cannot be.
        """
        asked = HowManyAskedSerializer(data=request.query_params)
        asked.is_valid(raise_exception=True)
        try:
            found = overview(timezone.now(), **asked.validated_data)
        except NoSuchConversion as error:
            raise serializers.ValidationError({"template": [str(error)]}) from error
        except PlanningError as error:
            raise serializers.ValidationError({"on": [str(error)]}) from error
        return Response(as_dict(found))
