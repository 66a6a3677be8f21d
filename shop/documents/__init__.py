"""The shop's papers: quote sheet, fitting sheet, walk sheet, parcel label.

Each function gives the context of one template; `render(name, thing)` gives the whole page, which
carries its own print stylesheet and needs nothing else. An order to a supplier is `pdf_of` and `csv_of` it.
"""

from .fitting import fitting_sheet
from .offer import quote_sheet
from .parcel import parcel_label
from .purchase_csv import csv_of
from .purchase_pdf import pdf_of
from .rendering import PAPERS, render
from .walk import walk_sheet

__all__ = [
    "PAPERS",
    "csv_of",
    "fitting_sheet",
    "parcel_label",
    "pdf_of",
    "quote_sheet",
    "render",
    "walk_sheet",
]
