"""The papers of shop/documents, ready to print: quote and fitting sheets, walk sheets, labels."""

from __future__ import annotations

from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from inventory.models import Walk
from shop.desks.page import DeskView, closed_desk
from shop.desks.rights import PICK, SELL
from shop.documents import render as render_paper
from shop.models import Parcel, Quote, QuoteKit

# Whose paper it is, and who may print it.
PAPERS: dict[str, tuple[type[Model], tuple[str, ...]]] = {
    "quote-sheet": (Quote, SELL),
    "fitting-sheet": (QuoteKit, (*SELL, *PICK)),
    "walk-sheet": (Walk, PICK),
    "parcel-label": (Parcel, PICK),
}


class Paper(DeskView):
    def get(self, request: HttpRequest, **kwargs: object) -> HttpResponse:
        name = str(kwargs["name"])
        if name not in PAPERS:
            raise Http404(f"There is no paper called {name}.")
        model, rights = PAPERS[name]
        if not any(self.user.has_perm(right) for right in rights):
            return closed_desk(request)
        thing = get_object_or_404(model._default_manager, pk=kwargs["pk"])
        return HttpResponse(render_paper(name, thing))
