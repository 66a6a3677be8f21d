"""The shop's papers: quote sheet, fitting sheet, walk sheet, parcel label.

Each function gives the context of one template; `render(name, thing)` gives the whole page, which
carries its own print stylesheet and needs nothing else.
"""

from .fitting import fitting_sheet
from .offer import quote_sheet
from .parcel import parcel_label
from .rendering import PAPERS, render
from .walk import walk_sheet

__all__ = ["PAPERS", "fitting_sheet", "parcel_label", "quote_sheet", "render", "walk_sheet"]
