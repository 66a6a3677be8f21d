"""How a part sells: how often, how evenly, and how much of the money.

Classes by the mean interval between demands and the squared coefficient of variation of their sizes, with
the cut-offs 1.32 and 0.49: Syntetos, Boylan and Croston, J. Operational Research Society 56 (2005).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from inventory.planning.forecasting.table import checked
from inventory.planning.ordering import PlanningError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Figures = NDArray[np.float64]

ADI_CUT, CV2_CUT = 1.32, 0.49
KINDS = ("smooth", "erratic", "intermittent", "lumpy")
UNSOLD = "unsold"
# Shares are taken to a ten-thousandth: the sum of whole numbers, times that, must fit 64 bits.
MOST = (1 << 62) // 10_000


@dataclass(frozen=True, eq=False)
class Classes:
    """A row a part: `adi` in periods (inf without a demand), `cv2` (NaN without one), and `kind`, one of
    KINDS or "unsold"."""

    adi: Figures
    cv2: Figures
    kind: NDArray[np.str_]


def classify(values: ArrayLike) -> Classes:
    """The classes of the rows of a table (parts, periods), NaN before a part was on sale.

    ADI is the periods on sale over those with demand; CV2 the variance of the sizes of the demands over
    the square of their mean, with the population's variance (over n), so that a single demand has 0.
    """
    import numpy as np

    table = checked(values)
    hit = table > 0
    count = hit.sum(axis=1).astype(np.float64)
    periods = (~np.isnan(table)).sum(axis=1).astype(np.float64)
    sizes = np.where(hit, table, 0.0)
    some = count > 0
    mean = np.divide(sizes.sum(axis=1), count, out=np.full(len(table), np.nan), where=some)
    squares = np.where(hit, (sizes - mean[:, None]) ** 2, 0.0).sum(axis=1)
    cv2 = np.divide(squares, count * mean**2, out=np.full(len(table), np.nan), where=some)
    adi = np.divide(periods, count, out=np.full(len(table), np.inf), where=some)
    return Classes(adi, cv2, kinds(adi, cv2))


def kinds(adi: ArrayLike, cv2: ArrayLike) -> NDArray[np.str_]:
    """The class of each pair; "unsold" where there is no demand to tell by.

    Authors differ on figures that lie on a cut-off: here they still belong to the more regular class.
    """
    import numpy as np

    rare, uneven = np.asarray(adi, np.float64) > ADI_CUT, np.asarray(cv2, np.float64) > CV2_CUT
    names = np.array(KINDS)[2 * rare.astype(np.int64) + uneven]
    return np.where(np.isnan(np.asarray(cv2, np.float64)), UNSOLD, names)


def abc(values_a_year: ArrayLike, cuts: tuple[float, float] = (0.8, 0.95)) -> NDArray[np.str_]:
    """A, B or C for each part by its share of the yearly value: see `by_share`.

    Values are money as whole cents, and then reckoned exactly; any other unit as floats. Raises PlanningError
    for a value below 0 or none at all, and for cuts that do not rise from above 0 up to 1.
    """
    import numpy as np

    values = np.asarray(values_a_year)
    if values.ndim != 1 or values.dtype.kind not in "iuf":
        raise PlanningError("Yearly values: one number for each part, money in whole cents.")
    if not np.isfinite(values).all() or (values < 0).any():
        raise PlanningError("Yearly values: an amount of at least 0 for each part.")
    if not 0 < cuts[0] <= cuts[1] <= 1:
        raise PlanningError(f"Classes are cut at rising shares up to 1, not {cuts}.")
    if values.dtype.kind != "f":
        if sum(values.tolist()) >= MOST:
            raise PlanningError("Yearly values: too many cents to reckon exactly; give them as floats.")
        values = values.astype(np.int64)
    return by_share(values, *(Fraction(cut).limit_denominator(10_000) for cut in cuts))


def by_share(values: NDArray[Any], a_cut: Fraction, b_cut: Fraction) -> NDArray[np.str_]:
    """The rule of A, B and C itself, on a column of numbers at least 0: whole ones of any size exactly.

    In line by value, the greatest first and the first in the column where they tie, a part is A while those
    before it make up less than `a_cut` of the whole, so that the part which crosses the line still belongs
    to A; B likewise. What is worth nothing is C.
    """
    import numpy as np

    order = np.argsort(-values, kind="stable")
    line = values[order]
    before = np.cumsum(line) - line
    total = line.sum()
    classes = np.full(len(values), "C")
    for letter, cut in (("B", b_cut), ("A", a_cut)):
        inside = np.asarray(before * cut.denominator < total * cut.numerator, np.bool_)
        classes[order[inside & np.asarray(line > 0, np.bool_)]] = letter
    return classes
