"""What every page of a desk shares: who may see it, its title block, and what a refused act looks like.

A page shows on GET. On POST it does what the pressed button says (`do`), then goes on to the page
that `do_...` names. A form that is sent twice is done once (shop/desks/once.py). `DeskPage.post` is the
one place where an ActError becomes a message: the same page again, with the message on top and everything
that was typed still in its field.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Any, ClassVar

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.models import User
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.utils import timezone
from django.views import View

from inventory.acting import ActError, Conflict, NotAllowed
from shop.desks.once import FIELD as KEY
from shop.desks.once import send_once
from shop.desks.rights import Desk, desks_of
from shop.desks.typed import must_be_writable


@dataclass(frozen=True)
class Sheet:
    """What the title block says: the name of the sheet and its number."""

    name: str
    number: str


class SeeOther(HttpResponseRedirect):
    """After an act: go and look at the result with a GET."""

    status_code = 303


class DeskView(View):
    """What only a clerk may see: whoever has not signed in is asked to, and a closed desk says so."""

    rights: tuple[str, ...] = ()  # any one of them opens it

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        if self.rights and not any(request.user.has_perm(right) for right in self.rights):
            return closed_desk(request)
        return super().dispatch(request, *args, **kwargs)

    @property
    def user(self) -> User:
        """Whoever acts; `dispatch` has let nobody else in."""
        assert isinstance(self.request.user, User)
        return self.request.user


class DeskPage(DeskView, ABC):
    """A page of a desk. Subclasses give `template_name`, `sheet`, `context` and `do_...` methods."""

    template_name: ClassVar[str]
    acts: ClassVar[tuple[str, ...]] = ()

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        return self.page(request, typed=request.GET)

    def post(self, request: HttpRequest, **_: Any) -> HttpResponse:
        do = request.POST.get("do", "")
        try:
            if do not in self.acts:
                raise ActError("This page has no such button; reload it and try again.", code="no-such-act")
            must_be_writable(request.POST, request.POST.keys() - {KEY})
            sent = send_once(self.user, request, lambda: getattr(self, f"do_{do}")(request.POST))
        except ActError as refusal:
            return self.page(request, typed=request.POST, refusal=refusal)
        if sent.again:
            messages.info(request, "This form came twice; it was done once.")
        return SeeOther(sent.to)

    @abstractmethod
    def sheet(self) -> Sheet:
        """The name and number for the title block."""

    def context(self) -> dict[str, Any]:
        return {}

    def page(
        self, request: HttpRequest, *, typed: QueryDict, refusal: ActError | None = None
    ) -> HttpResponse:
        context = {
            **title_block(request, self.sheet()),
            "typed": typed,
            "refusal": refusal,
            **self.context(),
        }
        return render(request, self.template_name, context, status=status_of(refusal))


def title_block(request: HttpRequest, sheet: Sheet) -> dict[str, Any]:
    """The values that the foot of every sheet is drawn from."""
    desks: list[Desk] = desks_of(request.user) if isinstance(request.user, User) else []
    return {
        "sheet": sheet,
        "shop_name": settings.SHOP_NAME,
        "currency": settings.SHOP_CURRENCY,
        "now": timezone.now(),
        "desks": desks,
    }


def status_of(refusal: ActError | None) -> int:
    if refusal is None:
        return 200
    if isinstance(refusal, NotAllowed):
        return 403
    return 409 if isinstance(refusal, Conflict) else 422


def closed_desk(request: HttpRequest) -> HttpResponse:
    """The page of a desk that the signed-in user does not work at."""
    context = title_block(request, Sheet("Not your desk", "0-9"))
    return render(request, "desks/closed.html", context, status=403)
