"""The entrance: signing in, and the desks that one may go to."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from shop.desks.page import DeskPage, Sheet, title_block
from shop.desks.rights import desks_of


class SignIn(LoginView):
    template_name = "desks/sign_in.html"
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return {
            **super().get_context_data(**kwargs),
            **title_block(self.request, Sheet("Sign in", "0-1")),
        }


class Desks(DeskPage):
    """Where to go; with one desk only, straight there."""

    template_name = "desks/desks.html"

    def sheet(self) -> Sheet:
        return Sheet("Desks", "0-2")

    def get(self, request: HttpRequest, **kwargs: Any) -> HttpResponse:
        desks = desks_of(self.user)
        return redirect(desks[0].address) if len(desks) == 1 else super().get(request, **kwargs)
