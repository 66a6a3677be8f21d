"""Whole kits as the columns and rows of an integer programme."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from math import gcd, lcm

from .figures import whole
from .kit_programme import Row, Unproven, maximise
from .ordering import PlanningError
from .slots import Part, Slot, Template


class Columns:
    """Kits of each template, then uses of each filling, then pieces to be had more of each part."""

    def __init__(self, stock: Mapping[Part, int], templates: Sequence[Template]) -> None:
        for part, quantity in stock.items():
            whole(quantity, f"The stock of part {part!r}")
        refuse_twins([template.name for template in templates], "templates")
        self.templates = templates
        self.slots: list[tuple[int, Slot, range]] = []
        self.leads: dict[tuple[int, str], dict[int, int]] = {}  # the columns that a slot is filled for
        at = len(templates)
        for number, template in enumerate(templates):
            refuse_twins([slot.name for slot in template.slots], f"slots of {template.name}")
            self.leads |= {(number, slot.name): {number: slot.times} for slot in template.first}
            for slot in template.slots:
                self.slots.append((number, slot, range(at, at + len(slot.fillings))))
                at += len(slot.fillings)
        self.width = at  # of kits and fillings
        self.needs: dict[Part, dict[int, int]] = {}
        self._read()
        self.stock = {part: stock.get(part, 0) for part in self.needs}
        self.more = {part: at + number for number, part in enumerate(self.needs)}
        self.unit = _unit([template.worth for template in templates])
        self.weights = {n: int(Fraction(one.worth) / Fraction(self.unit)) for n, one in enumerate(templates)}

    def _read(self) -> None:
        """What every filling leads to, and what it takes."""
        times = {(number, slot.name): slot.times for number, slot, _ in self.slots}
        for number, slot, columns in self.slots:
            for column, filling in zip(columns, slot.fillings, strict=True):
                for name in filling.then:
                    self.leads.setdefault((number, name), {})[column] = times[number, name]
                for part, quantity in filling.pieces.items():
                    self.needs.setdefault(part, {})[column] = quantity

    def rows(self, more: Collection[Part] = ()) -> list[Row]:
        """Each slot of each kit is filled, from the stock; `more` can be had of the parts so named."""
        filled = [
            Row(
                dict.fromkeys(columns, 1) | {one: -n for one, n in self.leads[number, slot.name].items()},
                0,
                0,
            )
            for number, slot, columns in self.slots
        ]
        free = set(more)
        taken = [
            Row(needs | ({self.more[part]: -1} if part in free else {}), most=self.stock[part])
            for part, needs in self.needs.items()
        ]
        return filled + taken

    def upper(self, kits: Sequence[int], more: Collection[Part] = ()) -> list[int]:
        """The most that each column can be when there are no more than `kits`."""
        upper = list(kits)
        free = set(more)
        for number, slot, _ in self.slots:
            led = sum(times * upper[column] for column, times in self.leads[number, slot.name].items())
            for filling in slot.fillings:
                enough = [self.stock[part] // q for part, q in filling.pieces.items() if part not in free]
                upper.append(min([led, *enough]))
        for part, needs in self.needs.items():
            most = sum(q * upper[column] for column, q in needs.items()) - self.stock[part]
            upper.append(max(most, 0) if part in free else 0)
        return upper

    def most_each(self, more: Collection[Part] = ()) -> list[int | None]:
        """More kits of each template than this there cannot be, each slot looked at alone.

        None: nothing limits it, as there is enough of the parts in `more` for any number.
        """
        limits: dict[tuple[int, str], int | None] = {}
        for number, slot, _ in reversed(self.slots):
            fills = [
                _least(
                    *(limits[number, name] for name in filling.then),
                    *(self.stock[part] // q for part, q in filling.pieces.items() if part not in more),
                )
                for filling in slot.fillings
            ]
            known = [one for one in fills if one is not None]
            limits[number, slot.name] = sum(known) // slot.times if len(known) == len(fills) else None
        return [
            _least(template.most, *(limits[number, slot.name] for slot in template.first))
            for number, template in enumerate(self.templates)
        ]

    def best(self) -> list[int]:
        """The plan of the greatest worth."""
        most = [number for number in self.most_each() if number is not None]
        return answer(maximise(self.weights, self.rows(), self.upper(most)))


def _least(*limits: int | None) -> int | None:
    return min((one for one in limits if one is not None), default=None)


def answer(values: list[int] | None) -> list[int]:
    """No kits at all keep to any stock, and with pieces enough there are kits enough: there is an answer."""
    if values is None:
        raise Unproven("The solver denies an answer that there is: ask for fewer kits at once.")
    return values


def stand_ins(columns: Columns) -> dict[int, int]:
    """Fewest of them are best: each counts as much as its rank."""
    return {column: -rank for _, column, rank in _ranked(columns) if rank}


def lateness(columns: Columns) -> dict[int, int]:
    """Of equally many stand-ins those in the slots listed last."""
    last = len(columns.slots)
    return {column: -rank * (last - number) for number, column, rank in _ranked(columns) if rank}


def _ranked(columns: Columns) -> Iterator[tuple[int, int, int]]:
    """The number of the slot, the column and the rank of every filling."""
    for number, (_, slot, fillings) in enumerate(columns.slots):
        for place, (column, filling) in enumerate(zip(fillings, slot.fillings, strict=True)):
            yield number, column, place if filling.rank is None else filling.rank


def refuse_twins(names: Sequence[str], what: str) -> None:
    """PlanningError where two have one name."""
    if len(set(names)) < len(names):
        raise PlanningError(f"Two {what} have one name: give each its own.")


def _unit(worths: Sequence[int | Decimal]) -> int | Decimal:
    """The largest amount of which all `worths` are whole multiples."""
    exact = [Fraction(worth) for worth in worths]
    below = lcm(*(worth.denominator for worth in exact))
    unit = Fraction(gcd(*(int(worth * below) for worth in exact)) or 1, below)
    if unit.denominator == 1:
        return unit.numerator
    # Decimals have finite decimals in common, so this division ends.
    return Decimal(unit.numerator) / Decimal(unit.denominator)
