"""The way in: signing in, the list of problems, and addresses that do not exist."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema, inline_serializer
from rest_framework import serializers
from rest_framework.authtoken.serializers import AuthTokenSerializer
from rest_framework.authtoken.views import ObtainAuthToken
from rest_framework.exceptions import AuthenticationFailed, NotFound, ValidationError
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import AnonRateThrottle
from rest_framework.views import APIView

from shop.api import problems


class SignInRate(AnonRateThrottle):
    """Guessing passwords has to be slow."""

    scope = "sign-in"
    rate = "20/min"


class SignIn(ObtainAuthToken):
    """Username and password for a token; send it as `Authorization: Token <token>`."""

    throttle_classes = (SignInRate,)

    @extend_schema(
        request=AuthTokenSerializer, responses=inline_serializer("Token", {"token": serializers.CharField()})
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        try:
            return super().post(request, *args, **kwargs)
        except ValidationError as error:
            if isinstance(error.detail, dict) and "non_field_errors" in error.detail:
                raise AuthenticationFailed(
                    "This username and password are not known together. Try again, or ask an owner."
                ) from error
            raise


class ProblemKindSerializer(serializers.Serializer[dict[str, Any]]):
    type = serializers.CharField()
    code = serializers.CharField()
    status = serializers.IntegerField()
    title = serializers.CharField()
    help = serializers.CharField()


class Problems(APIView):
    """What can go wrong, by stable code, and what to do about it."""

    permission_classes = (AllowAny,)

    @extend_schema(responses=ProblemKindSerializer(many=True), operation_id="problems_list")
    def get(self, _request: Request) -> Response:
        """Every kind of problem."""
        return Response(list(problems.listing()))


class Problem(APIView):
    """Where a problem document's `type` points to."""

    permission_classes = (AllowAny,)

    @extend_schema(responses=ProblemKindSerializer)
    def get(self, _request: Request, code: str) -> Response:
        """One kind of problem."""
        found = next((kind for kind in problems.listing() if kind["code"] == code), None)
        if found is None:
            raise NotFound
        return Response(found)


@extend_schema(exclude=True)
class Nowhere(APIView):
    """Every other address under /api/ answers with a problem document, too."""

    permission_classes = (AllowAny,)

    def get(self, _request: Request) -> Response:
        raise NotFound

    post = put = patch = delete = get
