"""Orders put together from what is needed, held to brute force over all ways to do it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.filling import fill_up, to_a_break
from inventory.planning.suggesting import House, Line, Plan, Terms, Wanted, choose, cost_of, plan_orders

PLAN = Plan(horizon_days=120, holding_rate=Decimal("0.25"))
COST_FREE = House(1)

prices = st.integers(0, 900).map(lambda cents: Decimal(cents) / 10)
rates = st.sampled_from([Fraction(0), Fraction(1, 20), Fraction(1, 4), Fraction(1), Fraction(5, 2)])


@st.composite
def terms_of(draw: st.DrawFn, supplier: int = 1) -> Terms:
    price = draw(prices)
    steps = draw(st.lists(st.integers(2, 40), max_size=2, unique=True).map(sorted))
    breaks, last = [], price
    for at in steps:
        last = last * draw(st.sampled_from([Decimal("0.95"), Decimal("0.8"), Decimal("0.5")]))
        breaks.append((at, last))
    pack, least = draw(st.integers(1, 5)), draw(st.integers(1, 8))
    return Terms(supplier, price, pack, least, tuple(breaks), draw(st.integers(0, 40)))


@st.composite
def a_wanted(draw: st.DrawFn, part: int, suppliers: Iterable[int], *, needed: bool = True) -> Wanted:
    sellers = draw(st.lists(st.sampled_from(sorted(suppliers)), min_size=1, unique=True))
    return Wanted(
        part,
        tuple(draw(terms_of(supplier)) for supplier in sellers),
        needed=draw(st.integers(1, 30)) if needed else 0,
        position=draw(st.integers(-5, 30)),
        reorder_at=draw(st.integers(0, 10)),
        rate=draw(rates),
        most=draw(st.none() | st.integers(0, 80)),
        loss=draw(prices),
    )


def wanteds(suppliers: Iterable[int], most: int = 4) -> st.SearchStrategy[list[Wanted]]:
    return st.integers(1, most).flatmap(
        lambda count: st.tuples(*[a_wanted(part, suppliers) for part in range(count)]).map(list)
    )


def houses(suppliers: Iterable[int], *, free: bool) -> st.SearchStrategy[dict[int, House]]:
    def house(supplier: int) -> st.SearchStrategy[House]:
        ends = st.none() | st.integers(0, 400).map(Decimal) if free else st.none()
        carriage = st.integers(0, 60).map(Decimal)
        return st.builds(House, st.just(supplier), carriage=carriage, free_from=ends)

    return st.tuples(*map(house, suppliers)).map(lambda found: {one.supplier: one for one in found})


def every_way(wanted: list[Wanted]) -> Iterable[dict[int, Terms]]:
    for ways in product(*(one.terms for one in wanted)):
        yield {one.part: terms for one, terms in zip(wanted, ways, strict=True)}


def spent(wanted: list[Wanted], chosen: Mapping[int, Terms], houses: Mapping[int, House]) -> Decimal:
    """The same as `cost_of`, written down once more: an order for each supplier, line by line."""
    total = Decimal(0)
    for supplier in {terms.supplier for terms in chosen.values()}:
        goods = Decimal(0)
        for one in wanted:
            terms = chosen[one.part]
            if terms.supplier == supplier:
                pieces = max(one.needed, terms.least)
                pieces += -pieces % terms.pack
                price = terms.price
                for at, lower in sorted(terms.breaks):
                    price = lower if pieces >= at else price
                goods += pieces * price
        house = houses[supplier]
        free = house.free_from is not None and goods >= house.free_from
        total += goods + (0 if free else house.carriage)
    for one in wanted:
        if one.rate:
            without = max(Fraction(0), chosen[one.part].days - max(one.position, 0) / one.rate)
            missed = without * one.rate
            total += one.loss * missed.numerator / missed.denominator
    return total


@given(wanteds([1, 2]), houses([1, 2], free=False))
def test_with_two_suppliers_no_way_costs_less(wanted: list[Wanted], sold_by: dict[int, House]) -> None:
    chosen = choose(wanted, sold_by)
    least = min(spent(wanted, way, sold_by) for way in every_way(wanted))
    assert spent(wanted, chosen, sold_by) == pytest.approx(least)


@given(wanteds([1, 2, 3]), houses([1, 2, 3], free=True))
def test_no_part_and_no_supplier_is_better_elsewhere(wanted: list[Wanted], sold_by: dict[int, House]) -> None:
    chosen = choose(wanted, sold_by)
    paid = spent(wanted, chosen, sold_by)
    assert paid == pytest.approx(cost_of(wanted, chosen, sold_by))
    for one in wanted:
        for terms in one.terms:
            assert spent(wanted, {**chosen, one.part: terms}, sold_by) >= paid - Decimal("1e-9")
    if not any(one.rate and one.loss for one in wanted):
        alone = {
            one.part: min(one.terms, key=lambda terms: terms.cost(terms.whole(one.needed))) for one in wanted
        }
        assert paid <= spent(wanted, alone, sold_by) + Decimal("1e-9")


def test_one_carriage_is_cheaper_than_two() -> None:
    ring = Wanted(1, (Terms(1, Decimal(5)), Terms(2, Decimal(6))), needed=2)
    bolt = Wanted(2, (Terms(2, Decimal(1)),), needed=10)
    dear = {1: House(1, carriage=Decimal(9)), 2: House(2, carriage=Decimal(9))}
    assert choose([ring, bolt], dear)[1].supplier == 2
    cheap = {1: House(1, carriage=Decimal(1)), 2: House(2, carriage=Decimal(9))}
    assert choose([ring, bolt], cheap)[1].supplier == 1


def test_a_quick_supplier_may_cost_more_where_sales_are_lost() -> None:
    slow, quick = Terms(1, Decimal(5), days=20), Terms(2, Decimal(7), days=2)
    none = {1: House(1), 2: House(2)}
    hurried = Wanted(1, (slow, quick), needed=5, position=2, rate=Fraction(1), loss=Decimal(3))
    assert choose([hurried], none)[1] == quick  # 18 pieces at 3.00 against 10.00 more.
    assert choose([replace(hurried, position=30)], none)[1] == slow


def lying(base: int, more: int, rate: Fraction) -> int:
    """Piece-days that `more` lie here because they come now, and not once `base` are used up."""
    days, used = 0, Fraction(0)
    while used < base:
        days += 1
        used += rate
    return more * days


@given(a_wanted(1, [1]))
def test_a_break_is_taken_where_it_costs_least(one: Wanted) -> None:
    (terms,) = one.terms
    line = to_a_break(one, terms, PLAN)
    base = terms.whole(one.needed)
    best = Decimal(0)
    for at, _ in terms.breaks:
        quantity = terms.whole(at)
        covered = one.rate * PLAN.horizon_days
        fits = one.position + quantity <= covered and (
            one.most is None or one.position + quantity <= one.most
        )
        if quantity > base and one.rate and fits:
            # To the day: bought at once it lies here up to a day less than the simulation counts.
            value = (quantity - base) * terms.each(quantity)
            exact = value * PLAN.holding_rate * base * one.rate.denominator / (365 * one.rate.numerator)
            simulated = (
                lying(base, quantity - base, one.rate) * terms.each(quantity) * PLAN.holding_rate / 365
            )
            assert exact <= simulated + Decimal("1e-9") <= exact + value * PLAN.holding_rate / 365 + 1
            best = max(best, quantity * (terms.each(base) - terms.each(quantity)) - exact)
    assert line.saves == pytest.approx(best)
    assert line.quantity - line.for_break == base and line.price == terms.each(line.quantity)
    assert (line.saves > 0) == (line.for_break > 0)


def test_a_break_that_ties_money_up_too_long_is_left() -> None:
    terms = Terms(1, Decimal(10), breaks=((100, Decimal("9.90")),))
    slow = Wanted(1, (terms,), needed=50, rate=Fraction(1, 2))
    assert to_a_break(slow, terms, Plan(3650, Decimal("0.2"))).quantity == 50
    assert to_a_break(replace(slow, rate=Fraction(20)), terms, PLAN).quantity == 100


def lines_of(wanted: list[Wanted]) -> dict[int, Line]:
    return {one.part: to_a_break(one, one.terms[0], PLAN) for one in wanted if one.needed}


def most_that_fits(one: Wanted, line: Line | None) -> list[int]:
    """Every quantity of the part that is sold and has room, from the line's on."""
    terms, now = one.terms[0], line.quantity if line else 0
    found, quantity = [now], now
    while one.rate and (quantity := terms.whole(quantity + 1)):
        position = one.position + quantity
        if position > one.rate * PLAN.horizon_days or (one.most is not None and position > one.most):
            break
        found.append(quantity)
    return found


@st.composite
def fillings(draw: st.DrawFn) -> tuple[list[Wanted], House]:
    needed = [draw(a_wanted(part, [1])) for part in range(draw(st.integers(1, 2)))]
    spare = [draw(a_wanted(part, [1], needed=False)) for part in range(5, 5 + draw(st.integers(0, 2)))]
    plain = [
        replace(one, terms=tuple(replace(terms, breaks=()) for terms in one.terms)) for one in needed + spare
    ]
    house = House(
        1,
        least_value=Decimal(draw(st.integers(0, 500))),
        carriage=Decimal(draw(st.integers(0, 20))),
        free_from=draw(st.none() | st.integers(0, 900).map(Decimal)),
        already=Decimal(draw(st.integers(0, 50))),
    )
    return plain, house


@given(fillings())
def test_an_order_is_filled_up_by_the_rules(given_: tuple[list[Wanted], House]) -> None:
    wanted, house = given_
    before = lines_of(wanted)
    after = fill_up(before, wanted, house, PLAN)
    fits = {one.part: most_that_fits(one, before.get(one.part)) for one in wanted}
    goods = house.already + sum(line.value for line in after.values())
    start = house.already + sum(line.value for line in before.values())
    at_most = house.already + sum(one.terms[0].price * fits[one.part][-1] for one in wanted)
    added = {part: line.to_fill for part, line in after.items() if line.to_fill}
    for one in wanted:
        line = after.get(one.part)
        assert (line.quantity if line else 0) in fits[one.part]
        assert line is None or line.quantity == line.to_fill + (
            before[one.part].quantity if one.part in before else 0
        )
    if start < house.least_value:
        assert goods >= house.least_value or goods == at_most
    elif added:
        assert house.free_from is not None and start < house.free_from <= goods


@given(fillings())
def test_free_carriage_is_not_paid_for_twice(given_: tuple[list[Wanted], House]) -> None:
    """Pack by pack again: what is added lies here until it would have been ordered."""
    wanted, house = given_
    before = lines_of(wanted)
    bare = replace(house, least_value=Decimal(0))
    after = fill_up(before, wanted, bare, PLAN)
    held, of_part = Decimal(0), {one.part: one for one in wanted}
    for part, line in after.items():
        one, now = of_part[part], line.quantity - line.to_fill
        while now < line.quantity:
            further = one.terms[0].whole(now + 1)
            held += PLAN.holding((further - now) * line.price, one.soon(now))
            now = further
    if any(line.to_fill for line in after.values()):
        assert held < house.carriage


@given(fillings())
def test_it_is_filled_with_what_is_needed_soonest(given_: tuple[list[Wanted], House]) -> None:
    wanted, house = given_
    before = lines_of(wanted)
    after = fill_up(before, wanted, house, PLAN)
    ordered = {one.part: after[one.part].quantity if one.part in after else 0 for one in wanted}
    for late in wanted:
        if not (late.part in after and after[late.part].to_fill):
            continue
        last = ordered[late.part] - late.terms[0].pack
        for soon in wanted:
            has_room = ordered[soon.part] < most_that_fits(soon, before.get(soon.part))[-1]
            if soon is not late and has_room and soon.terms[0].price:
                assert soon.soon(ordered[soon.part]) >= late.soon(max(last, 0)) or last < late.terms[0].least


def test_dead_stock_fills_nothing_and_neither_does_what_is_bought_elsewhere() -> None:
    ring = Wanted(1, (Terms(1, Decimal(10)),), needed=2, rate=Fraction(1))
    dead = Wanted(2, (Terms(1, Decimal(10)),), position=0)
    other = Wanted(3, (Terms(2, Decimal(1)), Terms(1, Decimal(10))), needed=1, rate=Fraction(1))
    house = House(1, least_value=Decimal(2000))
    (first, second) = plan_orders([ring, dead, other], [house, House(2)], PLAN)
    assert {line.part for line in first.lines} == {1} and {line.part for line in second.lines} == {3}
    assert first.lines[0].quantity == 120  # As many as sell within the horizon.


def test_an_order_is_filled_up_to_free_carriage_and_no_further() -> None:
    ring = Wanted(1, (Terms(1, Decimal(10)),), needed=4, position=-4, rate=Fraction(1, 10))
    soon = Wanted(2, (Terms(1, Decimal(10)),), position=4, reorder_at=3, rate=Fraction(1, 5))
    later = Wanted(3, (Terms(1, Decimal(10)),), position=20, reorder_at=3, rate=Fraction(1, 5))
    (order,) = plan_orders([ring, soon, later], [House(1, carriage=Decimal(8), free_from=Decimal(60))], PLAN)
    assert {line.part: line.quantity for line in order.lines} == {1: 5, 2: 1}
    assert order.carriage == 0 and 3 not in {line.part for line in order.lines}
    (bare,) = plan_orders([ring], [House(1, carriage=Decimal(8), free_from=Decimal(600))], PLAN)
    assert bare.goods == 40 and bare.carriage == 8


def test_what_nobody_sells_is_in_no_order() -> None:
    assert plan_orders([Wanted(1, (), needed=3)], [COST_FREE], PLAN) == []
    assert plan_orders([], [COST_FREE]) == []


@pytest.mark.parametrize(
    "terms", [{"days": -1}, {"breaks": ((1, Decimal(1)),)}, {"breaks": ((5, Decimal(-1)),)}]
)
def test_terms_that_nobody_has_are_refused(terms: dict[str, object]) -> None:
    with pytest.raises(PlanningError):
        Terms(1, Decimal(1), **terms)  # type: ignore[arg-type]  # wrong on purpose
