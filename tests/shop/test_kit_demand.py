"""What ships is written down kit by kit, with whose place a part took; by the act itself, and once."""

from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from inventory.models import Demand, Part
from kits.customising import swap
from kits.models import Candidate, CandidatePart
from kits.releasing import release
from kits.revising import revise
from shop import ordering, packing, picking, quoting
from shop.models import Order, Parcel
from tests.clerks import Clerk
from tests.shop.small import SmallShop
from tests.shop.test_floor import pick_stop

pytestmark = pytest.mark.main_job

Line = tuple[str, str, int, str, int, str, str | None]


def another(shop: SmallShop, clerk: Clerk, slot: str, number: str, *also: Part) -> Part:
    """A part that may go into a slot instead of its default, in a new revision; five lie here."""
    standard = CandidatePart.objects.get(candidate__slot__code=slot, candidate__is_default=True).part
    part = a_part_like(shop, standard, number)
    revision = revise(clerk("catalogue"), shop.revision)
    candidate = Candidate.objects.create(slot=revision.slots.get(code=slot), rank=2)
    for one in (part, *also):
        CandidatePart.objects.create(candidate=candidate, part=one)
    release(clerk("catalogue"), revision)
    return part


def a_part_like(shop: SmallShop, standard: Part, number: str) -> Part:
    part = Part.objects.create(
        maker=standard.maker, number=number, name=number, category=standard.category, price=standard.price
    )
    shop.bins[part.pk] = shop.bins[standard.pk]
    shop.put(part, 5)
    return part


def packed(shop: SmallShop, clerk: Clerk, order: Order) -> Parcel:
    for stop in picking.make_walk(clerk("floor"), [order]).stops.all():
        pick_stop(clerk, stop)
    taken = order.reservation.stops.filter(lot__isnull=False) if order.reservation else []
    lots: dict[str, list[str]] = {}
    for stop in taken:
        lots.setdefault(stop.part.number, []).append(str(stop.lot))
    order.refresh_from_db()
    return packing.pack(clerk("floor"), order, lots=lots)


def lines() -> list[Line]:
    fields = ("part__number", "kind", "quantity", "kit", "kits", "reference", "first_choice__number")
    return list(Demand.objects.order_by("reference", "part__number").values_list(*fields))


def test_each_quoted_kit_is_a_line_of_every_part(small_shop: SmallShop, clerk: Clerk) -> None:
    kits = [(small_shop.kit(), 1), (small_shop.kit(), 1)]
    quote = quoting.quote(small_shop.counter, small_shop.customer, kits)
    order = ordering.accept(small_shop.counter, quote)
    parcel = packed(small_shop, clerk, order)
    assert lines() == []
    packing.ship(clerk("floor"), parcel, carrier="Skerry Post")
    assert lines() == [
        (number, "kit", quantity, "belt-pump", 1, f"{order}/{kit}", None)
        for kit in (1, 2)
        for number, quantity in (("OR-40", 1), ("OR-7P", 1), ("OR-8B", 4))
    ]
    assert set(Demand.objects.values_list("day", flat=True)) == {timezone.localdate()}


def test_a_part_that_was_swapped_in_names_whose_place_it_took(small_shop: SmallShop, clerk: Clerk) -> None:
    ring = a_part_like(small_shop, small_shop.pulley, "RING")
    other = another(small_shop, clerk, "pulley", "OR-41", ring)
    kit = small_shop.kit()
    key = "parts:" + "+".join(str(pk) for pk in sorted([other.pk, ring.pk]))
    swap(small_shop.counter, kit, "pulley", key)
    quote = quoting.quote(small_shop.counter, small_shop.customer, [(kit, 2)])
    order = ordering.accept(small_shop.counter, quote)
    packing.ship(clerk("floor"), packed(small_shop, clerk, order), carrier="Skerry Post")
    assert lines() == [
        ("OR-41", "kit", 2, "belt-pump", 2, f"{order}/1", "OR-40"),
        ("OR-7P", "kit", 2, "belt-pump", 2, f"{order}/1", None),
        ("OR-8B", "kit", 8, "belt-pump", 2, f"{order}/1", None),
        ("RING", "kit", 2, "belt-pump", 2, f"{order}/1", "OR-40"),
    ]


def test_two_parcels_that_ship_at_once_are_both_written_down(
    run_in_threads: Callable[..., list[Any]], small_shop: SmallShop, clerk: Clerk
) -> None:
    orders = [ordering.accept(small_shop.counter, small_shop.quote()) for _ in range(2)]
    parcels = [packed(small_shop, clerk, order) for order in orders]

    def one(parcel: Parcel) -> Callable[[], Any]:
        return lambda: packing.ship(clerk("floor"), parcel, carrier="Skerry Post")

    results = run_in_threads(*map(one, parcels))
    assert all(isinstance(result, Parcel) for result in results)
    assert sorted(line[5] for line in lines()) == sorted(f"{order}/1" for order in orders for _ in range(3))


def test_a_parcel_shipped_by_two_at_once_is_written_down_once(
    run_in_threads: Callable[..., list[Any]], small_shop: SmallShop, clerk: Clerk
) -> None:
    parcel = packed(small_shop, clerk, ordering.accept(small_shop.counter, small_shop.quote()))

    def one() -> Any:
        return packing.ship(clerk("floor"), parcel, carrier="Skerry Post")

    results = run_in_threads(one, one)
    assert sorted(type(result).__name__ for result in results) == ["Conflict", "Parcel"]
    assert len(lines()) == 3
