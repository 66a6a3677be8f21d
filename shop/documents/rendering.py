"""From a thing and the name of a paper to a page of HTML."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

from inventory.models import Walk
from shop.models import Parcel, Quote, QuoteKit

from .fitting import fitting_sheet
from .offer import quote_sheet
from .parcel import parcel_label
from .walk import walk_sheet

Context = dict[str, Any]

# By name: of which kind of thing the paper is, and what makes its context.
PAPERS: dict[str, tuple[type, Callable[[Any], Context]]] = {
    "fitting-sheet": (QuoteKit, fitting_sheet),
    "quote-sheet": (Quote, quote_sheet),
    "walk-sheet": (Walk, walk_sheet),
    "parcel-label": (Parcel, parcel_label),
}


def render(name: str, thing: Any) -> str:
    """The page of that paper, ready to print. A paper that does not exist is a LookupError."""
    if name not in PAPERS:
        raise LookupError(f"There is no paper '{name}': use one of {', '.join(PAPERS)}.")
    kind, context_of = PAPERS[name]
    if not isinstance(thing, kind):
        raise TypeError(f"A {name} is made of a {kind.__name__}, not of a {type(thing).__name__}.")
    context = {"shop": settings.SHOP_NAME, **context_of(thing)}
    return render_to_string(f"documents/{name.replace('-', '_')}.html", context)
