"""Which part stands in the way of more kits: one alone of which more gives more.

To try every part costs one programme each. Most of them need none: of some there is more than any plan
could take, some cost nothing in prices that prove that there is no more to be had, and where a whole group
of parts, all of them without end, gives no more, none of it does.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from .kit_columns import Columns, answer
from .kit_programme import Row, in_order, maximise, prices, total
from .slots import Part, Template


@dataclass(frozen=True)
class Bottleneck:
    """A part of which more alone gives more: the fewest `pieces` that do, and what is `gained` by them.

    `gained` is in worth, which is in kits where each is worth 1.
    """

    part: Part
    pieces: int
    gained: int | Decimal

    @property
    def each(self) -> Fraction:
        """What one piece of them gains."""
        return Fraction(self.gained) / self.pieces


def bottlenecks(
    stock: Mapping[Part, int],
    templates: Sequence[Template],
    among: Collection[Part] | None = None,
    most: Mapping[str, int] | None = None,
) -> tuple[Bottleneck, ...]:
    """The parts of which more, the rest staying as it is, gives more; most gained by a piece first.

    All parts of the kits, or of those only the ones in `among`. Of equal ones the first in the order of
    templates, slots and fillings. Where several parts run out together none may be named: `missing_for`
    then says what one more kit lacks. `most` is the kits of a plan of the greatest worth, if it is known.
    """
    columns = Columns(stock, templates)
    search = _Search(columns, most)
    tried = [part for part in columns.needs if among is None or part in among]
    found = {one.part: one for one in search.among(tried)}
    return tuple(sorted((found[part] for part in tried if part in found), key=lambda one: -one.each))


class _Search:
    """What the shelves give now, and which parts give more."""

    def __init__(self, columns: Columns, most: Mapping[str, int] | None) -> None:
        self.columns = columns
        kits = columns.best() if most is None else [most[template.name] for template in columns.templates]
        self.best = self._worth(kits)
        # Whatever gives more without a kit too many is worth less than this.
        self.enough = self.best + 1 + max(columns.weights.values(), default=0)

    def among(self, parts: Sequence[Part]) -> list[Bottleneck]:
        """Those of the parts that are bottlenecks, in any order."""
        dear, proven = self._priced()
        singly = [one for part in parts if part in dear and (one := self._alone(part)) is not None]
        cheap = [part for part in parts if part not in dear]
        if proven or not cheap:
            return singly
        # What costs nothing hardly gives more, so that large groups of it are told at once.
        upper = self._upper(cheap)
        over = {part: short for part in cheap if (short := upper[self.columns.more[part]])}
        return singly + self._together(sorted(over, key=lambda part: over[part]))

    def _priced(self) -> tuple[set[Part], bool]:
        """The parts that cost something, and whether that proves that no others give more."""
        columns = self.columns
        limits = [
            Row({number: 1}, most=template.most)
            for number, template in enumerate(columns.templates)
            if template.most is not None
        ]
        rows = columns.rows()
        found = prices(columns.weights, [*rows, *limits], columns.width)
        if found is None:
            return set(), False
        of_parts = found[0][len(columns.slots) : len(rows)]
        dear = {part for part, price in zip(columns.needs, of_parts, strict=True) if price}
        return dear, found[1] < self.best + 1

    def _together(self, parts: Sequence[Part]) -> list[Bottleneck]:
        if len(parts) < 2:
            return [one for part in parts if (one := self._alone(part)) is not None]
        if self._most_with_all(parts) == self.best:
            return []
        middle = len(parts) // 2
        return self._together(parts[:middle]) + self._together(parts[middle:])

    def _alone(self, part: Part) -> Bottleneck | None:
        """The fewest pieces of it that give more, and the most that they give; None where no number does."""
        columns, more = self.columns, self.columns.more[part]
        upper = self._upper([part])
        if not upper[more]:
            return None
        better = Row(columns.weights, least=self.best + 1)
        values = in_order([{more: -1}, columns.weights], [*columns.rows([part]), better], upper)
        if values is None:
            return None
        return Bottleneck(part, values[more], (self._worth(values) - self.best) * columns.unit)

    def _most_with_all(self, parts: Sequence[Part]) -> int:
        """The greatest worth with pieces of these parts without end, up to what is enough."""
        columns = self.columns
        return self._worth(answer(maximise(columns.weights, columns.rows(parts), self._upper(parts))))

    def _upper(self, parts: Sequence[Part]) -> list[int]:
        weights = self.columns.weights
        kits = [
            self.enough // weights[number] if most is None else most
            for number, most in enumerate(self.columns.most_each(parts))
        ]
        return self.columns.upper(kits, parts)

    def _worth(self, values: Sequence[int]) -> int:
        return total(self.columns.weights, values)
