"""Limit deviations by the rules of ISO 286-1, from its tables, for nominal sizes up to 3150 mm."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from kits.fit import iso286_large as large
from kits.fit import iso286_tables as tables
from kits.fit.errors import FitError, expect
from kits.fit.length import UNITS_PER_MM, Length

_UNITS_PER_UM: Final = UNITS_PER_MM // 1000
_CLASS = re.compile(r"([A-Za-z]{1,2})(01|0|1[0-8]|[1-9])")
LETTERS: Final = (
    *("a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js", "j", "k", "m", "n"),
    *("p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc"),
)

_Table = tuple[dict[str, tables.Row], tuple[int, ...]]  # the rows by letter, and the ends of their ranges


def _joined(small: _Table, beyond: _Table) -> _Table:
    """One table over the whole range, with nothing where only one part has the row."""
    (first, ends), (second, more_ends) = small, beyond
    none: tables.Row = (None,)
    both = {
        name: first.get(name, none * len(ends)) + second.get(name, none * len(more_ends))
        for name in first | second
    }
    return both, ends + more_ends


_TOLERANCES: Final = _joined((tables.TOLERANCES, tables.MAIN_ENDS_MM), (large.TOLERANCES, large.MAIN_ENDS_MM))
_ABOUT: Final = _joined((tables.ABOUT, tables.MAIN_ENDS_MM), ({}, large.MAIN_ENDS_MM))
_BELOW: Final = _joined((tables.BELOW, tables.MAIN_ENDS_MM), (large.BELOW, large.MAIN_ENDS_MM))
_BELOW_FINE: Final = _joined((tables.BELOW_FINE, tables.FINE_ENDS_MM), ({}, large.FINE_ENDS_MM))
_ABOVE: Final = _joined((tables.ABOVE, tables.MAIN_ENDS_MM), (large.ABOVE, large.MAIN_ENDS_MM))
_ABOVE_FINE: Final = _joined((tables.ABOVE_FINE, tables.FINE_ENDS_MM), (large.ABOVE_FINE, large.FINE_ENDS_MM))
_LEAST_LARGE_UNITS: Final = tables.MAIN_ENDS_MM[-1] * UNITS_PER_MM
_MOST_UNITS: Final = large.MAIN_ENDS_MM[-1] * UNITS_PER_MM


def deviation_units(size: Length, tolerance_class: str) -> tuple[int, int]:
    """Lower and upper limit deviation in units of 10 nm of a hole ('H7') or shaft ('g6')."""
    expect(size, Length, "a nominal size")
    expect(tolerance_class, str, "a tolerance class")
    match = _CLASS.fullmatch(tolerance_class.strip())
    letter = match[1].lower() if match else ""
    if not match or letter not in LETTERS or match[1] not in (letter, letter.upper()):
        raise FitError(
            f"{tolerance_class!r} is not a tolerance class of ISO 286; write a letter A to ZC for a "
            "hole or a to zc for a shaft, and a grade 01 or 0 to 18, as in H7 or g6"
        )
    if not 0 < size.units <= _MOST_UNITS:
        raise FitError(f"ISO 286 gives limits for sizes above 0 up to 3150 mm, not for {size}")
    _refuse_tiny(size, letter, match[1], match[2])
    lower, upper = (_hole if match[1].isupper() else _shaft)(size, letter, match[2])
    return int(lower * _UNITS_PER_UM), int(upper * _UNITS_PER_UM)


def _shaft(size: Length, letter: str, grade: str) -> tuple[Fraction, Fraction]:
    tolerance = _tolerance(size, grade)
    if letter == "js":
        return -tolerance / 2, tolerance / 2
    if letter in _BELOW[0] or letter in _BELOW_FINE[0]:
        upper = -_fundamental(size, letter)
        return upper - tolerance, upper
    if letter == "j":
        lower = _about(size, f"j{grade}")
    elif letter == "k" and not 4 <= int(grade) <= 7:
        lower = Fraction(0)
    else:
        lower = _fundamental(size, letter)
    return lower, lower + tolerance


def _hole(size: Length, letter: str, grade: str) -> tuple[Fraction, Fraction]:
    tolerance = _tolerance(size, grade)
    if letter == "js" or letter in _BELOW[0] or letter in _BELOW_FINE[0]:
        lower, upper = _shaft(size, letter, grade)
        return -upper, -lower
    upper = _about(size, f"J{grade}") if letter == "j" else _upper_of_tight_hole(size, letter, grade)
    return upper - tolerance, upper


def _upper_of_tight_hole(size: Length, letter: str, grade: str) -> Fraction:
    """ES of K to ZC: the shaft's ei mirrored, raised by Delta = ITn - IT(n-1) in the fine grades.

    So that a hole with a shaft h one grade finer has the fit of the matching shaft in H. Up to 3 mm
    and above 500 mm nothing is raised.
    """
    small, number = size.units <= 3 * UNITS_PER_MM, int(grade)
    plain = small or size.units > _LEAST_LARGE_UNITS
    if grade == "01" or (number < 3 and size.units <= _LEAST_LARGE_UNITS):
        raise FitError(f"ISO 286 gives no holes {letter.upper()} finer than IT3; choose grade 3 or coarser")
    if letter == "k" and number > 8 and not small:
        raise FitError("ISO 286 gives holes K above IT8 only up to 3 mm; choose K8 or finer, or JS")
    if letter == "n" and number > 8 and not plain:
        return Fraction(0)
    if letter == "m" and grade == "6" and 250 * UNITS_PER_MM < size.units <= 315 * UNITS_PER_MM:
        return Fraction(-9)  # the standard's one exception to the rule, which would give -11
    raised = number <= (8 if letter in "kmn" else 7) and not plain
    delta = _tolerance(size, grade) - _tolerance(size, str(number - 1)) if raised else 0
    return delta - _fundamental(size, letter)


def _tolerance(size: Length, grade: str) -> Fraction:
    return _look_up(size, _TOLERANCES, grade, f"IT{grade}")


def _about(size: Length, tolerance_class: str) -> Fraction:
    if tolerance_class not in _ABOUT[0]:
        raise FitError(
            f"ISO 286 gives no {tolerance_class}; of J there are J6 to J8, of j there are j5 to j8"
        )
    return _look_up(size, _ABOUT, tolerance_class, tolerance_class)


def _fundamental(size: Length, letter: str) -> Fraction:
    for table in (_BELOW, _BELOW_FINE, _ABOVE, _ABOVE_FINE):
        if letter in table[0]:
            return _look_up(size, table, letter, letter)
    raise FitError(f"ISO 286 gives no deviation {letter!r}; use one of {', '.join(LETTERS)}")


def _look_up(size: Length, table: _Table, row: str, what: str) -> Fraction:
    """The value for the first range whose upper end the size does not pass."""
    rows, ends_mm = table
    ranges = zip(rows[row], ends_mm, strict=True)
    value = next(v for v, end in ranges if size.units <= end * UNITS_PER_MM)
    if value is None:
        other = "a coarser grade" if what.startswith("IT") else "a neighbouring letter"
        raise FitError(f"ISO 286 gives no {what} for a size of {size}; choose {other}")
    return value


def _refuse_tiny(size: Length, letter: str, cased: str, grade: str) -> None:
    """Up to 1 mm the standard excludes a and b, the coarse grades, and N above IT8."""
    if size.units > UNITS_PER_MM:
        return
    if letter in ("a", "b") or int(grade) >= 14 or (cased == "N" and int(grade) > 8):
        raise FitError(f"ISO 286 does not give {cased}{grade} up to 1 mm; choose another class for {size}")
