"""How many whole kits the shelves give, and what stands in the way of more. Exact, by integer programme.

Stock is what it is on the day in question: for a day to come, give what can be promised for it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from .figures import whole
from .kit_columns import Columns, answer, lateness, refuse_twins, stand_ins
from .kit_programme import Row, in_order, total
from .ordering import PlanningError
from .slots import Part, Template


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


def most_kits(stock: Mapping[Part, int], templates: Sequence[Template]) -> KitPlan:
    """The plan of the greatest worth; a part that `stock` does not name is not there.

    Of equally good plans the one with the most kits of the first template, then of the second and so on;
    then the one with the fewest stand-ins, counted by their place in the slot; then the one that has them
    in the slots listed last.
    """
    columns = Columns(stock, templates)
    rows, kits = columns.rows(), _most(columns)
    # With the kits known, most slots turn out to need no stand-in, and there is little left to choose.
    rows += [Row({number: 1}, least=built) for number, built in enumerate(kits)]
    values = in_order([stand_ins(columns), lateness(columns)], rows, columns.upper(kits))
    return _plan(columns, answer(values))


def most_together(stock: Mapping[Part, int], templates: Sequence[Template]) -> dict[str, int]:
    """The kits of that plan alone, sooner than the plan."""
    columns = Columns(stock, templates)
    return {template.name: kits for template, kits in zip(templates, _most(columns), strict=True)}


def most_of_each(stock: Mapping[Part, int], templates: Sequence[Template]) -> dict[str, int]:
    """For each template how many kits there would be if the shelves were for it alone."""
    refuse_twins([template.name for template in templates], "templates")
    return {template.name: Columns(stock, [template]).best()[0] for template in templates}


def missing_for(
    stock: Mapping[Part, int], templates: Sequence[Template], kits: Mapping[str, int]
) -> dict[Part, int]:
    """The fewest pieces to be had more, by part, for so many kits of each template; {} when all is there.

    Of equally few the one with the fewest stand-ins, then the one that buys the parts named first.
    """
    columns = Columns(stock, templates)
    unknown = set(kits) - {template.name for template in templates}
    if unknown:
        raise PlanningError(f"No template is named {sorted(unknown)[0]}: name those that were given.")
    wanted = [whole(kits.get(one.name, 0), f"The kits of {one.name}") for one in templates]
    parts = list(columns.needs)
    rows = [*columns.rows(parts), *(Row({n: 1}, least=number) for n, number in enumerate(wanted))]
    fewest = {columns.more[part]: -1 for part in parts}
    named_first = {columns.more[part]: -place for place, part in enumerate(parts)}
    values = in_order([fewest, stand_ins(columns), named_first], rows, columns.upper(wanted, parts))
    found = answer(values)
    return {part: found[column] for part, column in columns.more.items() if found[column]}


def _most(columns: Columns) -> list[int]:
    """The kits of each template in the plan of the greatest worth with most of the first, then the second."""
    upper = columns.upper([number for number in columns.most_each() if number is not None])
    first_kits = [{number: 1} for number in range(len(columns.templates) - 1)]
    values = in_order([columns.weights, *first_kits], columns.rows(), upper)
    return answer(values)[: len(columns.templates)]


def _plan(columns: Columns, values: Sequence[int]) -> KitPlan:
    kits = {template.name: values[number] for number, template in enumerate(columns.templates)}
    fillings = {
        (columns.templates[number].name, slot.name): tuple(values[column] for column in of_slot)
        for number, slot, of_slot in columns.slots
    }
    used = {part: total(needs, values) for part, needs in columns.needs.items()}
    worth = sum((kits[template.name] * template.worth for template in columns.templates), 0)
    return KitPlan(kits, fillings, used, worth)
