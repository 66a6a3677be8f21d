"""How a quote is written: the kits as they are now, judged, priced and copied into it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime

from django.conf import settings
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.acting import ActError
from inventory.slipping import MOST_AHEAD
from kits.expanding import Expansion, expand
from kits.fit import Verdict
from kits.models import CustomKit

from . import money
from .models import Customer, Quote, QuoteKit, QuoteLine
from .picturing import lines_of, record_of

MOST_DAYS = 365
MOST_OF_A_KIND = 1000


def check_terms(
    kits: Sequence[tuple[CustomKit, int]], channel: str, days: int, wanted_on: date | None, today: date
) -> None:
    """Refuse what no quote can say."""
    if not kits:
        raise ActError("There is no kit to quote: open one first.", code="nothing-to-quote")
    for kit, quantity in kits:
        if not 1 <= quantity <= MOST_OF_A_KIND:
            raise ActError(
                f"{quantity} of {kit} cannot be quoted: give a quantity from 1 to {MOST_OF_A_KIND}.",
                code="bad-quantity",
            )
    if channel not in Quote.Channel.values:
        raise ActError(
            f"'{channel}' is no way that a quote comes about: use one of {', '.join(Quote.Channel.values)}.",
            code="unknown-channel",
        )
    if not 1 <= days <= MOST_DAYS:
        raise ActError(
            f"A quote cannot be valid for {days} days: give 1 to {MOST_DAYS}.", code="bad-validity"
        )
    if wanted_on is not None and wanted_on > today + MOST_AHEAD:
        raise ActError(
            f"{wanted_on:%-d %b %Y} is more than ten years ahead: look at the year.", code="too-far-ahead"
        )
    if wanted_on is not None and wanted_on < today:
        raise ActError(
            f"The customer cannot want it on {wanted_on:%-d %b %Y}, which is past: give a day from today on, "
            "or none for at once.",
            code="wanted-on-is-past",
        )


def as_now(kits: Sequence[tuple[CustomKit, int]]) -> list[tuple[CustomKit, int, Expansion]]:
    """The kits expanded as they are now, or the reason why one of them cannot be quoted.

    Locked, so that nobody swaps a part between the verdict and the price.
    """
    offered = [(kit, quantity, expand(kit)) for kit, quantity in _locked(kits)]
    for kit, _, expansion in offered:
        _refuse_what_does_not_go(kit, expansion)
    return offered


def new_quote(
    user: User,
    customer: Customer,
    priced: Iterable[tuple[int, Expansion | QuoteKit]],
    *,
    channel: str,
    valid_until: datetime,
    wanted_on: date | None,
    replaces: Quote | None = None,
) -> Quote:
    """A quote with its sums and no lines yet; `priced` are its kits: how many, at which price."""
    percent = settings.SHOP_TAX_PERCENT
    sums = money.total((money.line_net(quantity, kit.price), percent) for quantity, kit in priced)
    return Quote.objects.create(
        customer=customer,
        channel=channel,
        made_by=user,
        valid_until=valid_until,
        wanted_on=wanted_on,
        replaces=replaces,
        currency=settings.SHOP_CURRENCY,
        tax_percent=percent,
        net=sums.net,
        tax=sums.tax,
        gross=sums.gross,
    )


def write_down(quote: Quote, kit: CustomKit, quantity: int, expansion: Expansion) -> None:
    """Copy a kit into the quote as it is now."""
    quoted = QuoteKit.objects.create(
        quote=quote,
        kit=kit,
        revision=kit.revision,
        title=f"{kit.revision.template.name} for {kit.engine}"[:200],
        quantity=quantity,
        standard_price=money.to_cent(expansion.standard_price),
        price=money.to_cent(expansion.price),
        verdict=expansion.judgement.verdict.value,
        record=record_of(kit, expansion),
    )
    QuoteLine.objects.bulk_create(lines_of(quoted, expansion))


def in_words(moment: datetime) -> str:
    """A moment as the shop's own clock shows it."""
    return f"{timezone.localtime(moment):%-d %b %Y %H:%M}"


def _locked(kits: Sequence[tuple[CustomKit, int]]) -> Iterable[tuple[CustomKit, int]]:
    wanted = [kit.pk for kit, _ in kits]
    now: Mapping[int, CustomKit] = {
        kit.pk: kit
        for kit in CustomKit.objects.select_for_update(of=("self",))
        .select_related("revision__template", "engine__family")
        .filter(pk__in=wanted)
        .order_by("pk")
    }
    return [(now[kit.pk], quantity) for kit, quantity in kits]


def _refuse_what_does_not_go(kit: CustomKit, expansion: Expansion) -> None:
    if expansion.judgement.verdict is Verdict.DOES_NOT_GO:
        reasons = expansion.judgement.reasons
        raise ActError(
            f"{kit} does not go together and cannot be quoted. Swap a part, or offer another kit. "
            + " ".join(reasons),
            code="does-not-go",
            kit=kit.number,
            reasons=reasons,
        )
    if not expansion.lines:
        raise ActError(
            f"{kit} holds no part of the shop's: put one into a slot first.", code="nothing-to-quote"
        )
