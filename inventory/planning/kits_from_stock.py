"""How many whole kits the shelves give, and what stands in the way of more. Exact, by integer programme.

Stock is what it is on the day in question: for a day to come, give what can be promised for it.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import gcd, lcm

from .figures import whole
from .kit_programme import Row, Unproven, in_order, maximise, total
from .ordering import PlanningError
from .slots import Part, Slot, Template


@dataclass(frozen=True)
class KitPlan:
    """`kits` of each template; `fillings[template, slot]`: how often each filling is used over all of them.

    `used` is the pieces that they take, `worth` what they are worth together.
    """

    kits: dict[str, int]
    fillings: dict[tuple[str, str], tuple[int, ...]]
    used: dict[Part, int]
    worth: int | Decimal

    @property
    def total(self) -> int:
        return sum(self.kits.values())


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


class _Programme:
    """Columns: kits of each template, then uses of each filling, then pieces to be had more of each part."""

    def __init__(self, stock: Mapping[Part, int], templates: Sequence[Template]) -> None:
        for part, quantity in stock.items():
            whole(quantity, f"The stock of part {part!r}")
        _refuse_twins([template.name for template in templates], "templates")
        self.templates = templates
        self.slots: list[tuple[int, Slot, range]] = []
        at = len(templates)
        for number, template in enumerate(templates):
            _refuse_twins([slot.name for slot in template.slots], f"slots of {template.name}")
            for slot in template.slots:
                self.slots.append((number, slot, range(at, at + len(slot.fillings))))
                at += len(slot.fillings)
        self.needs: dict[Part, dict[int, int]] = {}
        for _, slot, columns in self.slots:
            for column, filling in zip(columns, slot.fillings, strict=True):
                for part, quantity in filling.pieces.items():
                    self.needs.setdefault(part, {})[column] = quantity
        self.stock = {part: stock.get(part, 0) for part in self.needs}
        self.more = {part: at + number for number, part in enumerate(self.needs)}
        self.weights = _weights([template.worth for template in templates])

    def rows(self, more: Sequence[Part] = ()) -> list[Row]:
        """Each slot of each kit is filled, from the stock; `more` can be had of the parts so named."""
        filled = [
            Row(dict.fromkeys(columns, 1) | {number: -slot.times}, 0, 0)
            for number, slot, columns in self.slots
        ]
        free = set(more)
        taken = [
            Row(needs | ({self.more[part]: -1} if part in free else {}), most=self.stock[part])
            for part, needs in self.needs.items()
        ]
        return filled + taken

    def upper(self, kits: Sequence[int], more: Sequence[Part] = ()) -> list[int]:
        """The most that each column can be when there are no more than `kits`."""
        upper = list(kits)
        free = set(more)
        for number, slot, _ in self.slots:
            for filling in slot.fillings:
                enough = [self.stock[part] // q for part, q in filling.pieces.items() if part not in free]
                upper.append(min([slot.times * kits[number], *enough]))
        for part, needs in self.needs.items():
            upper.append(sum(q * upper[column] for column, q in needs.items()) if part in free else 0)
        return upper

    def most_each(self) -> list[int]:
        """More kits of each template than this there cannot be, each slot looked at alone."""
        most = []
        for number, template in enumerate(self.templates):
            limits = [] if template.most is None else [template.most]
            for owner, slot, _ in self.slots:
                if owner == number and all(filling.pieces for filling in slot.fillings):
                    limits.append(sum(self._fills(filling.pieces) for filling in slot.fillings) // slot.times)
            most.append(min(limits))
        return most

    def _fills(self, pieces: Mapping[Part, int]) -> int:
        return min(self.stock[part] // quantity for part, quantity in pieces.items())

    def plan(self, values: Sequence[int]) -> KitPlan:
        kits = {template.name: values[number] for number, template in enumerate(self.templates)}
        fillings = {
            (self.templates[number].name, slot.name): tuple(values[column] for column in columns)
            for number, slot, columns in self.slots
        }
        used = {part: total(needs, values) for part, needs in self.needs.items()}
        worth = sum((kits[template.name] * template.worth for template in self.templates), 0)
        return KitPlan(kits, fillings, used, worth)


def most_kits(stock: Mapping[Part, int], templates: Sequence[Template]) -> KitPlan:
    """The plan of the greatest worth; a part that `stock` does not name is not there.

    Of equally good plans the one with the most kits of the first template, then of the second and so on;
    then the one with the fewest stand-ins, counted by their place in the slot; then the one that uses
    the first filling of the first slot most, and so on.
    """
    programme = _Programme(stock, templates)
    first_kits = [{number: 1} for number in range(len(templates) - 1)]
    rows, upper = programme.rows(), programme.upper(programme.most_each())
    kits = _answer(in_order([programme.weights, *first_kits], rows, upper))[: len(templates)]
    # With the kits known, most slots turn out to need no stand-in, and there is little left to choose.
    rows += [Row({number: 1}, least=built) for number, built in enumerate(kits)]
    fillings = [{column: 1} for _, _, columns in programme.slots for column in columns[:-1]]
    values = in_order([_stand_ins(programme), *fillings], rows, programme.upper(kits))
    return programme.plan(_answer(values))


def most_of_each(stock: Mapping[Part, int], templates: Sequence[Template]) -> dict[str, int]:
    """For each template how many kits there would be if the shelves were for it alone."""
    _refuse_twins([template.name for template in templates], "templates")
    return {template.name: _best(_Programme(stock, [template]))[0] for template in templates}


def bottlenecks(
    stock: Mapping[Part, int], templates: Sequence[Template], among: Collection[Part] | None = None
) -> tuple[Bottleneck, ...]:
    """The parts of which more, the rest staying as it is, gives more; most gained by a piece first.

    Each part of the kits, or of those only the ones in `among`, is tried by solving anew. Of
    equal ones the first in the order of templates, slots and fillings. Where several parts run out
    together none may be named: `missing_for` then says what one more kit lacks.
    """
    programme = _Programme(stock, templates)
    best = total(programme.weights, _best(programme))
    unit = _unit([template.worth for template in templates])
    found = []
    for part in programme.needs if among is None else [one for one in programme.needs if one in among]:
        pieces = _fewest_pieces(programme, part, best)
        if pieces is not None:
            fuller = _Programme(programme.stock | {part: programme.stock[part] + pieces}, templates)
            gained = total(fuller.weights, _best(fuller)) - best
            found.append(Bottleneck(part, pieces, gained * unit))
    return tuple(sorted(found, key=lambda one: -one.each))


def missing_for(
    stock: Mapping[Part, int], templates: Sequence[Template], kits: Mapping[str, int]
) -> dict[Part, int]:
    """The fewest pieces to be had more, by part, for so many kits of each template; {} when all is there.

    Of equally few the one with the fewest stand-ins, then the one that buys most of the first part named.
    """
    programme = _Programme(stock, templates)
    unknown = set(kits) - {template.name for template in templates}
    if unknown:
        raise PlanningError(f"No template is named {sorted(unknown)[0]}: name those that were given.")
    wanted = [whole(kits.get(one.name, 0), f"The kits of {one.name}") for one in templates]
    parts = list(programme.needs)
    rows = [*programme.rows(parts), *(Row({n: 1}, least=number) for n, number in enumerate(wanted))]
    fewest = {programme.more[part]: -1 for part in parts}
    objectives = [fewest, _stand_ins(programme), *({programme.more[part]: 1} for part in parts)]
    values = _answer(in_order(objectives, rows, programme.upper(wanted, parts)))
    return {part: values[column] for part, column in programme.more.items() if values[column]}


def _best(programme: _Programme) -> list[int]:
    upper = programme.upper(programme.most_each())
    return _answer(maximise(programme.weights, programme.rows(), upper))


def _answer(values: list[int] | None) -> list[int]:
    """No kits at all keep to any stock, and with pieces enough there are kits enough: there is an answer."""
    if values is None:
        raise Unproven("The solver denies an answer that there is: ask for fewer kits at once.")
    return values


def _fewest_pieces(programme: _Programme, part: Part, best: int) -> int | None:
    """The fewest pieces more of `part` that give more than `best`; None when no number does."""
    better = Row(programme.weights, least=best + 1)
    # Whatever gives more without a kit too many is worth less than this.
    enough = best + 1 + max(programme.weights.values())
    kits = [
        min([enough // programme.weights[number], *([] if template.most is None else [template.most])])
        for number, template in enumerate(programme.templates)
    ]
    values = maximise(
        {programme.more[part]: -1}, [*programme.rows([part]), better], programme.upper(kits, [part])
    )
    return None if values is None else values[programme.more[part]]


def _stand_ins(programme: _Programme) -> dict[int, int]:
    return {
        column: -place for _, _, columns in programme.slots for place, column in enumerate(columns) if place
    }


def _unit(worths: Sequence[int | Decimal]) -> int | Decimal:
    """The largest amount of which all `worths` are whole multiples."""
    exact = [Fraction(worth) for worth in worths]
    below = lcm(*(worth.denominator for worth in exact))
    unit = Fraction(gcd(*(int(worth * below) for worth in exact)), below)
    if unit.denominator == 1:
        return unit.numerator
    # Decimals have finite decimals in common, so this division ends.
    return Decimal(unit.numerator) / Decimal(unit.denominator)


def _weights(worths: Sequence[int | Decimal]) -> dict[int, int]:
    unit = Fraction(_unit(worths)) if worths else Fraction(1)
    return {number: int(Fraction(worth) / unit) for number, worth in enumerate(worths)}


def _refuse_twins(names: Sequence[str], what: str) -> None:
    if len(set(names)) < len(names):
        raise PlanningError(f"Two {what} have one name: give each its own.")
