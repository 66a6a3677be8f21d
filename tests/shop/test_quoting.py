"""Quotes: what they cost, what they keep, and how long their parts are held."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.forms import model_to_dict
from django.utils import timezone

from inventory import reserving
from inventory.acting import ActError
from inventory.models import Reservation, Stock
from inventory.promising import free
from kits.models import FittingStep
from shop import ordering, quoting
from shop.models import Quote
from tests.shop.small import KIT_PRICE, SmallShop


def refused(act: Callable[..., Any], *args: Any, **kwargs: Any) -> ActError:
    with pytest.raises(ActError) as caught:
        act(*args, **kwargs)
    return caught.value


def free_of(small_shop: SmallShop) -> tuple[int, int, int]:
    parts = [small_shop.pulley.pk, small_shop.pump.pk, small_shop.bolt.pk]
    found = free(parts, timezone.now())
    return found[parts[0]], found[parts[1]], found[parts[2]]


def end_quote(quote: Quote) -> None:
    """As if the quote had been valid until a second ago."""
    Quote.objects.filter(pk=quote.pk).update(valid_until=timezone.now() - timedelta(seconds=1))


def end_hold(quote: Quote) -> None:
    """As if the quote's hold had ended a second ago, and nobody had swept up yet."""
    Reservation.objects.filter(quote=quote).update(until=timezone.now() - timedelta(seconds=1))


def test_a_quote_adds_its_kits_and_the_tax_once(small_shop: SmallShop, settings: Any) -> None:
    settings.SHOP_TAX_PERCENT = Decimal("23")
    quote = small_shop.quote(2)
    assert quote.net == 2 * KIT_PRICE
    assert (quote.tax, quote.gross) == (Decimal("76.36"), Decimal("408.36"))  # 23 % of 332.00
    assert quote.currency == settings.SHOP_CURRENCY


def test_the_lines_of_a_kit_add_up_to_its_price(small_shop: SmallShop) -> None:
    kit = small_shop.quote().kits.get()
    lines = list(kit.lines.values_list("slot_code", "quantity", "unit_price"))
    assert lines == [
        ("pulley", 1, Decimal("40.00")),
        ("pump", 1, Decimal("120.00")),
        ("bolts", 4, Decimal("1.50")),
    ]
    assert kit.price == kit.standard_price == KIT_PRICE


def test_the_record_holds_what_the_papers_need(small_shop: SmallShop) -> None:
    record = small_shop.quote().kits.get().record
    assert record["template"]["revision"] == 1
    assert record["engine"]["code"] == "T2"
    assert record["steps"][0]["way_round"] == "Hub towards the engine."
    assert "Engine off and cold." in [record["steps"][0]["caution"], *record["cautions"]]
    assert record["never_reuse"] == [{"slot": "Bolts", "why": "They stretch once."}]
    assert [fill["slot"] for fill in record["fills"]] == ["pulley", "pump", "bolts"]
    assert record["judgement"]["verdict"] == "goes together"


def test_later_changes_leave_a_quote_as_it_was(small_shop: SmallShop) -> None:
    quote = small_shop.quote(2)

    def picture() -> list[Any]:
        fresh = Quote.objects.get(pk=quote.pk)
        kits = list(fresh.kits.order_by("id"))
        lines = [model_to_dict(line) for kit in kits for line in kit.lines.all()]
        return [model_to_dict(fresh), [model_to_dict(kit) for kit in kits], lines]

    before = picture()
    small_shop.pulley.price = Decimal("99.00")
    small_shop.pulley.name = "another pulley"
    small_shop.pulley.save()
    FittingStep.objects.filter(revision=small_shop.revision).update(text="Hammer it on.")
    small_shop.revision.slots.filter(code="bolts").update(name="Studs", quantity=6, never_reuse="")
    small_shop.template.name = "Chain pump"
    small_shop.template.save()
    assert picture() == before
    ordering.accept(small_shop.counter, quote)
    after = picture()
    assert after[1:] == before[1:]
    assert small_shop.quote().kits.get().price != before[1][0]["price"]


@pytest.mark.parametrize(
    ("terms", "code"),
    [
        ({"quantity": 0}, "bad-quantity"),
        ({"quantity": 1001}, "bad-quantity"),
        ({"days": 0}, "bad-validity"),
        ({"days": 366}, "bad-validity"),
    ],
)
def test_impossible_terms_are_refused(small_shop: SmallShop, terms: dict[str, int], code: str) -> None:
    assert refused(small_shop.quote, **terms).code == code
    assert not Quote.objects.exists()


def test_a_quote_of_nothing_is_refused(small_shop: SmallShop) -> None:
    assert refused(quoting.quote, small_shop.counter, small_shop.customer, []).code == "nothing-to-quote"


def test_an_unknown_channel_is_refused(small_shop: SmallShop) -> None:
    kits = [(small_shop.kit(), 1)]
    error = refused(quoting.quote, small_shop.counter, small_shop.customer, kits, channel="pigeon")
    assert error.code == "unknown-channel"


def test_a_hold_keeps_every_part_of_every_kit(small_shop: SmallShop) -> None:
    quoting.hold(small_shop.counter, small_shop.quote(2))
    assert free_of(small_shop) == (1, 0, 2)


def test_a_hold_never_outlives_its_quote(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(days=1), hours=48)
    assert quote.reservation is not None and quote.reservation.until == quote.valid_until


def test_a_hold_that_falls_short_says_when_and_keeps_nothing(small_shop: SmallShop) -> None:
    quote = small_shop.quote(3)  # 3 pulleys are there, of 3 pumps only 2, and 10 of 12 bolts
    with pytest.raises(reserving.Short) as caught:
        quoting.hold(small_shop.counter, quote)
    lines = {line["number"]: line for line in caught.value.details["lines"]}
    assert set(lines) == {"OR-7P", "OR-8B"}
    assert (lines["OR-7P"]["wanted"], lines["OR-7P"]["free"], lines["OR-7P"]["on"]) == (3, 2, None)
    in_five_days = timezone.localdate() + timedelta(days=5)
    assert lines["OR-8B"]["on"] == in_five_days.isoformat()
    assert caught.value.details["on"] is None
    assert "no date can be promised" in caught.value.message
    assert free_of(small_shop) == (3, 2, 10)
    assert not Stock.objects.filter(held__gt=0).exists()


def test_a_short_hold_names_the_day_when_all_of_it_can_be_here(small_shop: SmallShop) -> None:
    small_shop.put(small_shop.pump, 1, ["N3"])
    error = refused(quoting.hold, small_shop.counter, small_shop.quote(3))
    in_five_days = timezone.localdate() + timedelta(days=5)
    assert error.details["on"] == in_five_days.isoformat()
    assert f"{in_five_days:%-d %b %Y}" in error.message


def test_a_quote_is_held_once(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote())
    assert refused(quoting.hold, small_shop.counter, quote).code == "already-held"
    assert free_of(small_shop) == (2, 1, 6)


def test_a_lapsed_hold_counts_for_nothing_and_can_be_made_again(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(2))
    end_hold(quote)
    assert free_of(small_shop) == (3, 2, 10)
    other = quoting.hold(small_shop.counter, small_shop.quote(2))
    assert other.reservation is not None
    assert Stock.objects.get(part=small_shop.pump).held == 2
    assert refused(quoting.hold, small_shop.counter, quote).code == "short"


def test_a_quote_past_its_time_asks_to_be_quoted_again(small_shop: SmallShop) -> None:
    quote = small_shop.quote()
    end_quote(quote)
    for act in (quoting.hold, ordering.accept):
        error = refused(act, small_shop.counter, quote)
        assert error.code == "quote-lapsed"
        assert "again" in error.message


def test_a_withdrawn_quote_lets_its_parts_go(small_shop: SmallShop) -> None:
    quote = quoting.hold(small_shop.counter, small_shop.quote(2))
    quote = quoting.withdraw(small_shop.counter, quote)
    assert quote.state == Quote.State.WITHDRAWN
    assert free_of(small_shop) == (3, 2, 10)
    for act in (quoting.hold, quoting.withdraw, ordering.accept):
        assert refused(act, small_shop.counter, quote).code == "withdrawn"


def test_a_hold_of_no_time_is_refused(small_shop: SmallShop) -> None:
    assert refused(quoting.hold, small_shop.counter, small_shop.quote(), hours=0).code == "bad-hours"
