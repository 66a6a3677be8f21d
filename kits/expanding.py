"""A kit expanded into everything that goes on paper: lines, works, prices, steps and cautions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Part
from kits.choices import Choice, choices_for
from kits.conversion import EMPTY, LEFT_OUT, OWN, Conversion, Fills, SlotRead
from kits.fit import Job
from kits.judging import Judgement, judge_fills
from kits.models import CustomKit, FittingStep
from kits.pricing import NOTHING, adjustment, works_price
from kits.reading import read_kit

STANDARD_CAUTIONS = (
    "The engine maker's manual comes first: where it and this sheet differ, follow the manual.",
    "Follow the local codes, and leave work that they reserve for licensed people to licensed people.",
    "Before starting: engine stopped and cold, battery disconnected, seacock and fuel cock closed.",
    "Torques come only from the source named beside them; where none is given, take the maker's.",
    "Worked-out figures are the worst case of the stated bands, at 20 °C, with clean and deburred "
    "parts. Check every gap by measuring once the parts are on.",
)


@dataclass(frozen=True)
class ExpandedLine:
    """Parts of one kit; `quantity` is for one kit, `unit_price` for one part."""

    slot_code: str
    slot_name: str
    part: Part
    quantity: int
    unit_price: Decimal


@dataclass(frozen=True)
class ExpandedWork:
    """One shop work, done once. `amount` and `target` are sizes in words, `minutes` bench time."""

    name: str
    part_label: str
    amount: str
    target: str
    price: Decimal
    minutes: int
    done_by: str
    text: str


@dataclass(frozen=True)
class ExpandedStep:
    """One step of the fitting sheet; `torque` reads '45 Nm (source)' or is empty."""

    sequence: int
    text: str
    way_round: str
    torque: str
    torque_source: str
    caution: str
    slot_code: str


@dataclass(frozen=True)
class Expansion:
    """A whole kit. `price` is lines, works and adjustments; `standard_price` that of the defaults.

    `conversion` and `fills` are what was read for it, for those who would else read it again.
    """

    lines: tuple[ExpandedLine, ...]
    works: tuple[ExpandedWork, ...]
    adjustments: tuple[tuple[str, Decimal], ...]
    steps: tuple[ExpandedStep, ...]
    cautions: tuple[str, ...]
    never_reuse: tuple[tuple[str, str], ...]
    standard_price: Decimal
    price: Decimal
    judgement: Judgement
    conversion: Conversion
    fills: Fills


def expand(kit: CustomKit, read: tuple[Conversion, Fills] | None = None) -> Expansion:
    """Expand a kit as it is filled, priced and dimensioned now; what was `read` of it is not read again."""
    conversion, fills = read_kit(kit) if read is None else read
    judgement = judge_fills(conversion, fills)
    lines = _lines(conversion, fills)
    adjustments = _adjustments(conversion, fills)
    price = sum((line.unit_price * line.quantity for line in lines), NOTHING)
    price += works_price(judgement.jobs) + sum((amount for _, amount in adjustments), NOTHING)
    return Expansion(
        lines=lines,
        works=tuple(_work(job) for job in judgement.jobs),
        adjustments=adjustments,
        steps=_steps(kit, conversion, fills),
        cautions=_cautions(conversion, fills, judgement),
        never_reuse=tuple((slot.name, slot.never_reuse) for slot in conversion.slots if slot.never_reuse),
        standard_price=_standard_price(conversion),
        price=price,
        judgement=judgement,
        conversion=conversion,
        fills=fills,
    )


def wants(expansion: Expansion) -> dict[int, int]:
    """How many of each part one kit takes, by part id."""
    wanted: dict[int, int] = {}
    for line in expansion.lines:
        wanted[line.part.pk] = wanted.get(line.part.pk, 0) + line.quantity
    return wanted


def _lines(conversion: Conversion, fills: Fills) -> tuple[ExpandedLine, ...]:
    used = {part_id for filling in fills.values() for part_id, _ in filling.parts}
    parts = Part.objects.select_related("maker", "category").in_bulk(used)
    return tuple(
        ExpandedLine(slot.code, slot.name, parts[part_id], quantity, conversion.parts[part_id].price)
        for slot in conversion.slots
        for part_id, quantity in fills.get(slot.id, EMPTY).parts
    )


def _adjustments(conversion: Conversion, fills: Fills) -> tuple[tuple[str, Decimal], ...]:
    found = (
        adjustment(conversion, slot, chosen)
        for slot in conversion.slots
        if (chosen := chosen_in(conversion, slot, fills)) is not None
    )
    return tuple(one for one in found if one is not None)


def chosen_in(conversion: Conversion, slot: SlotRead, fills: Fills) -> Choice | None:
    """The choice that a slot's fill came from, at the quantities that the fill has."""
    filling = fills.get(slot.id, EMPTY)
    known = choices_for(conversion, slot).get(filling.key)
    if known is None:
        return None
    return Choice(filling, known.label, known.substitution, known.from_default, known.is_default)


def _standard_price(conversion: Conversion) -> Decimal:
    """The default kit on this engine, with the works that it needs there."""
    fills = conversion.default_fills()
    parts = sum(
        (conversion.parts[p].price * quantity for filling in fills.values() for p, quantity in filling.parts),
        NOTHING,
    )
    return parts + works_price(judge_fills(conversion, fills).jobs)


def _work(job: Job) -> ExpandedWork:
    amount, target = job.amount.format(rounding="up"), job.target.format(rounding="in")
    label = f"{job.owner} {job.feature}"
    verb = f"take up to {amount} off" if job.work.lowers else f"open by up to {amount}"
    return ExpandedWork(
        name=job.work.name,
        part_label=label,
        amount=amount,
        target=target,
        price=job.work.price,
        minutes=job.work.minutes,
        done_by=job.work.done_by,
        text=f"{job.work.name}: {verb} {label}, to {target}. Done by {job.work.done_by}.",
    )


def _steps(kit: CustomKit, conversion: Conversion, fills: Fills) -> tuple[ExpandedStep, ...]:
    """Steps of slots that are filled, numbered without gaps: a gap looks like a lost page."""
    steps = [
        step
        for step in FittingStep.objects.filter(revision=kit.revision)
        if step.slot_id is None or fills.get(step.slot_id, EMPTY).how != LEFT_OUT
    ]
    return tuple(
        ExpandedStep(
            sequence=number,
            text=step.text,
            way_round=step.way_round,
            torque=_torque(step),
            torque_source=step.torque_source,
            caution=step.caution,
            slot_code=conversion.slot_by_id[step.slot_id].code if step.slot_id is not None else "",
        )
        for number, step in enumerate(steps, start=1)
    )


def _torque(step: FittingStep) -> str:
    if step.torque_nm is None:
        return ""
    return f"{step.torque_nm.normalize():f} Nm ({step.torque_source})"


def _cautions(conversion: Conversion, fills: Fills, judgement: Judgement) -> tuple[str, ...]:
    applied = {finding.check for finding in judgement.findings}
    said: Iterable[str] = (
        *STANDARD_CAUTIONS,
        *(check.caution for check in conversion.checks if check.caution and check.code in applied),
        *(_reuse(slot) for slot in conversion.slots if slot.never_reuse),
        *(
            f"The sizes of the customer's own {slot.name} are as the customer gave them: measure it first."
            for slot in conversion.slots
            if fills.get(slot.id, EMPTY).how == OWN
        ),
    )
    return tuple(dict.fromkeys(said))


def _reuse(slot: SlotRead) -> str:
    return f"Never re-use the old {slot.name}: {slot.never_reuse}"
