"""Who asks, and what each desk may read; what it may do, the acts decide."""

from django.contrib.auth.models import User
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.views import APIView

from shop.desks.rights import APPROVE_ORDERS, BUY


def acting_user(request: Request) -> User:
    """The user of a request that has passed IsAuthenticated."""
    assert isinstance(request.user, User)
    return request.user


class KnowsCustomers(IsAuthenticated):
    """Names and addresses of customers are for the desk that sells."""

    message = "Customers are for the counter. Ask there, or have the right shop.sell given to your desk."

    def has_permission(self, request: Request, view: APIView) -> bool:
        return super().has_permission(request, view) and acting_user(request).has_perm("shop.sell")


class Buys(IsAuthenticated):
    """Targets say what pieces cost and where the money lies."""

    message = "Targets are for buying. Ask there, or have the right inventory.buy given to your desk."

    def has_permission(self, request: Request, view: APIView) -> bool:
        return super().has_permission(request, view) and acting_user(request).has_perm("inventory.buy")


class ReadsOrderPapers(IsAuthenticated):
    """What goes to suppliers, as on the buying desk: for those who buy, follow alerts or approve."""

    message = (
        "The papers of orders to suppliers are for buying. Ask there, or have the right inventory.buy or "
        "inventory.approve_orders given to your desk."
    )

    def has_permission(self, request: Request, view: APIView) -> bool:
        return super().has_permission(request, view) and any(
            acting_user(request).has_perm(right) for right in (*BUY, *APPROVE_ORDERS)
        )
