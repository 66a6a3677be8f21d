"""What went into each kit of an order: the picked pieces, shared out over its kits and lines."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Mapping, Sequence

from inventory.acting import ActError
from inventory.models import AlternateNumber, Lot, Part, WalkStop, scan_key

from .models import AsBuilt, Order, QuoteLine


def build(order: Order, taken: Sequence[WalkStop]) -> list[AsBuilt]:
    """Unsaved as-built records: first picked goes into the first kit that needs it, lot by lot."""
    pools: dict[int, deque[tuple[Lot | None, int]]] = {}
    for stop in taken:
        pools.setdefault(stop.part_id, deque()).append((stop.lot, stop.picked))
    built: list[AsBuilt] = []
    for kit in order.kits.select_related("quote_kit").order_by("id"):
        for line in kit.quote_kit.lines.filter(kind=QuoteLine.Kind.PART).select_related("part"):
            assert line.part is not None  # A constraint: a part line has a part.
            pieces = _take(pools.get(line.part.pk, deque()), line.quantity)
            if sum(quantity for _, quantity in pieces) < line.quantity:
                raise _missing(order, line.part)
            built += [
                AsBuilt(order_kit=kit, quote_line=line, part=line.part, lot=lot, quantity=quantity)
                for lot, quantity in pieces
            ]
    return built


def confirm_lots(order: Order, taken: Sequence[WalkStop], lots: Mapping[str, Sequence[str]]) -> None:
    """Hold what was scanned at the bench against what was picked.

    Of a serial-numbered part every piece is scanned once; of a part kept by lot, every lot once.
    """
    picked: dict[int, Counter[str]] = {}
    parts = {stop.part_id: stop.part for stop in taken if stop.part.tracking != Part.Tracking.NONE}
    for stop in taken:
        if stop.part_id in parts and stop.lot is not None:
            picked.setdefault(stop.part_id, Counter())[stop.lot.code] += 1
    scanned = _by_part(order, parts, lots)
    for pk, part in parts.items():
        there = picked.get(pk, Counter())
        codes = _as_picked(scanned.get(pk, Counter()), there)
        strange = sorted(codes - there) if part.tracking == Part.Tracking.SERIAL else []
        strange = strange or sorted(set(codes) - set(there))
        if strange:
            raise ActError(
                f"{', '.join(strange)} of {part} was not picked for {order}: picked were "
                f"{', '.join(sorted(there))}. Take that piece out and look for the right one.",
                code="wrong-lot",
                part=part.number,
                scanned=sorted(codes.elements()),
                picked=sorted(there),
            )
        missing = sorted(set(there) - set(codes))
        if missing:
            what = "serial number" if part.tracking == Part.Tracking.SERIAL else "lot"
            raise ActError(
                f"Scan the {what} of {part} as it goes into the parcel; still missing: {', '.join(missing)}.",
                code="lot-needed",
                part=part.number,
                missing=missing,
            )


def _as_picked(codes: Counter[str], picked: Counter[str]) -> Counter[str]:
    """What was scanned, in the letters in which it was picked: a lot is the same in capitals or not."""
    spelled = {code.upper(): code for code in picked}
    found: Counter[str] = Counter()
    for code, times in codes.items():
        found[code if code in picked else spelled.get(code.upper(), code)] += times
    return found


def _by_part(
    order: Order, tracked: Mapping[int, Part], lots: Mapping[str, Sequence[str]]
) -> dict[int, Counter[str]]:
    """The scanned lots by part; a number that is known for no tracked part of the order is refused."""
    keys = {part.key: pk for pk, part in tracked.items()}
    for key, pk in AlternateNumber.objects.filter(part__in=tracked).values_list("key", "part"):
        keys.setdefault(key, pk)
    scanned: dict[int, Counter[str]] = {}
    for number, codes in lots.items():
        given = [code.strip() for code in codes if code.strip()]
        if not given:
            continue
        if scan_key(number) not in keys:
            raise ActError(
                f"{order} holds no part {number} that is kept by lot or serial number: leave it out.",
                code="wrong-lot",
                part=number,
                scanned=given,
            )
        scanned.setdefault(keys[scan_key(number)], Counter()).update(given)
    return scanned


def _take(pool: deque[tuple[Lot | None, int]], wanted: int) -> list[tuple[Lot | None, int]]:
    """So many pieces from the front of the pool; fewer if it runs out."""
    pieces: list[tuple[Lot | None, int]] = []
    while wanted and pool:
        lot, here = pool.popleft()
        used = min(here, wanted)
        pieces.append((lot, used))
        wanted -= used
        if here > used:
            pool.appendleft((lot, here - used))
    return pieces


def _missing(order: Order, part: Part) -> ActError:
    return ActError(
        f"Too few of {part} lie on the bench for {order}. Pick the rest before packing.",
        code="not-picked",
        part=part.number,
    )
