"""Which whole kits of a conversion could be built of what is on the shelves: every one that surely goes.

A kit counts when it goes together, or with shop work; not when something has to be measured first. The
shelves fill every slot that the standard kit fills: nothing is left out of it, re-used or the customer's
own, for those are the customer's to say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import QuerySet

from inventory.planning import Filling, Slot
from kits.choices import Choice, choices_for
from kits.compiling.keeping import Kept, kept_for
from kits.compiling.network import UNSURE
from kits.conversion import LEFT_OUT, PARTS, Conversion
from kits.models import Engine, TemplateRevision
from kits.options import agreement
from kits.pricing import NOTHING, parts_price
from kits.reading import read_conversion
from kits.solver import Compiled, Cost, MaybeOptions, Unfolded, unfolded

_Choices = Mapping[int, Mapping[str, Choice]]


class NoSuchConversion(ValueError):
    """No released template has this code, or it is not released for that engine."""


@dataclass(frozen=True)
class StandIn:
    """What fills a slot instead of the standard part, and who must agree to it: 'nobody', ..."""

    slot: str
    label: str
    agreement: str


@dataclass(frozen=True)
class Buildable:
    """A released template on engines that have the same kits.

    `exact`: whoever fills the slots, and those that fillings lead to, has a whole kit that surely goes, and
    every such kit is had so. Otherwise the template has too many rules to be compiled: each slot has what
    any such kit fills it with, as if all went with all, and more kits than that there cannot be. No slots:
    no kit surely goes. `stand_ins` has those among the fillings, by slot and place. `price` is that of the
    standard kit: its parts at their list prices, without shop works.
    """

    template: str
    name: str
    engines: tuple[str, ...]
    exact: bool
    slots: tuple[Slot, ...]
    stand_ins: Mapping[tuple[str, int], StandIn]
    price: Decimal

    @property
    def title(self) -> str:
        """'Belt pump conversion, for A12, A14'."""
        return f"{self.name}, for {', '.join(self.engines)}"

    @property
    def parts(self) -> set[int]:
        """All that any of its kits may take."""
        return {part for slot in self.slots for filling in slot.fillings for part in filling.pieces}


def buildable(template: str = "", engine: str = "") -> list[Buildable]:
    """Every released template on every engine that it is for, or only the ones with these codes.

    Engines that have the same kits are one. Raises NoSuchConversion where the codes name none.
    """
    found: dict[tuple[object, ...], Buildable] = {}
    chosen = _released().filter(template__code=template) if template else _released()
    for revision in chosen.select_related("template").order_by("template__name"):
        engines = revision.engines.order_by("code")
        for one in engines.filter(code=engine) if engine else engines:
            made = _buildable(revision, one)
            same = made.template, made.exact, repr(made.slots), made.price
            known = found.get(same)
            found[same] = replace(known, engines=(*known.engines, one.code)) if known else made
    if not found and (template or engine):
        raise NoSuchConversion(_unknown(template, engine))
    return list(found.values())


def _released() -> QuerySet[TemplateRevision]:
    return TemplateRevision.objects.filter(state=TemplateRevision.State.RELEASED)


def _unknown(template: str, engine: str) -> str:
    codes = list(_released().order_by("template__code").values_list("template__code", flat=True))
    if template and template not in codes:
        return f"There is no released template {template!r}; there are: {', '.join(codes) or 'none yet'}."
    if engine and not Engine.objects.filter(code=engine).exists():
        return f"There is no engine {engine!r}: look at the code on the engine's sheet."
    return f"{template or 'No template'} is not released for engine {engine}: leave one of the two out."


def _buildable(revision: TemplateRevision, engine: Engine) -> Buildable:
    conversion = read_conversion(revision, engine)
    choices = {slot.id: choices_for(conversion, slot) for slot in conversion.slots}
    kept = kept_for(conversion, {i: {k: c.filling for k, c in one.items()} for i, one in choices.items()})
    drawn = _Drawn(conversion, choices)
    barred = _barred(conversion, choices, kept)
    if isinstance(kept.solver, Compiled):
        found = unfolded(kept.solver, [slot.code for slot in conversion.slots], barred)
        if found is not None:
            drawn.whole_kits(found)
    else:
        drawn.each_slot(kept.solver.changes({}, {}, barred))
    exact = isinstance(kept.solver, Compiled)
    title = revision.template
    fills = conversion.default_fills().values()
    price = sum((parts_price(conversion, filling) for filling in fills), NOTHING)
    return Buildable(
        title.code, title.name, (engine.code,), exact, tuple(drawn.slots), drawn.stand_ins, price
    )


def _barred(conversion: Conversion, choices: _Choices, kept: Kept) -> list[Cost]:
    """What no kit from the shelves has: what is the customer's to say, and what is to be measured first."""
    barred: list[Cost] = [value for value, cost in kept.costs.items() if cost >= UNSURE]
    standard = conversion.default_fills()
    for slot in conversion.slots:
        empty = standard[slot.id].how == LEFT_OUT
        for key, choice in choices[slot.id].items():
            if choice.filling.how != PARTS and not (empty and choice.filling.how == LEFT_OUT):
                barred.append((slot.code, key))
    return barred


class _Drawn:
    """Slots for planning, drawn from what the solver says of a conversion."""

    def __init__(self, conversion: Conversion, choices: _Choices) -> None:
        self.standard = conversion.default_fills()
        self.by_code = {slot.code: slot for slot in conversion.slots}
        self.choices = choices
        self.slots: list[Slot] = []
        self.stand_ins: dict[tuple[str, int], StandIn] = {}

    def whole_kits(self, found: Unfolded) -> None:
        """A slot for each place; the last of them lead to the others, and are listed first."""
        for number, ways in reversed(list(enumerate(found.places))):
            self._slot(f"{number}", [(way.value, tuple(str(one) for one in way.then)) for way in ways])

    def each_slot(self, options: MaybeOptions) -> None:
        """What some whole kit fills each slot with; what is not known in time counts as possible."""
        for code, of_slot in options.items():
            if code in self.by_code:
                ways = [((code, key), ()) for key, cost in of_slot.items() if cost is not None]
                if not ways:
                    self.slots.clear()
                    return
                self._slot(code, ways)

    def _slot(self, name: str, ways: Sequence[tuple[Cost | None, tuple[str, ...]]]) -> None:
        fillings = []
        for place, (value, then) in enumerate(ways):
            pieces: Mapping[int, int] = {}
            if value is not None:
                slot = self.by_code[value[0]]
                choice = self.choices[slot.id][str(value[1])]
                pieces = dict(choice.filling.parts)
                if choice.key != self.standard[slot.id].key:
                    self.stand_ins[name, place] = StandIn(slot.name, choice.label, agreement(choice))
            fillings.append(Filling(pieces, then=then, rank=int((name, place) in self.stand_ins)))
        self.slots.append(Slot(name, fillings))
