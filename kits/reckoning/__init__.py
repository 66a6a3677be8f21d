"""The desk calculator behind `manage.py limits`, `pair`, `chain`, `thread` and `press`.

It reads what a machinist types and lays out what `kits.fit` answers, as text and as plain values for
JSON. No Django and no files here: the commands open those.
"""

from kits.reckoning.chain_file import ChainFile, read_chain
from kits.reckoning.chains import Draws, chain_sheet
from kits.reckoning.presses import Joint, press_sheet
from kits.reckoning.reading import length, number, size, whole_number, with_unit
from kits.reckoning.screws import thread_sheet
from kits.reckoning.sheet import Sheet
from kits.reckoning.sizes import limits_sheet, pair_sheet, wanted_of

__all__ = [
    "ChainFile",
    "Draws",
    "Joint",
    "Sheet",
    "chain_sheet",
    "length",
    "limits_sheet",
    "number",
    "pair_sheet",
    "press_sheet",
    "read_chain",
    "size",
    "thread_sheet",
    "wanted_of",
    "whole_number",
    "with_unit",
]
