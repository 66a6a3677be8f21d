"""A quote's sums add up to the cent on every database, one that keeps decimals as floats included."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from shop.models import Quote
from tests.shop.small import SmallShop

pytestmark = pytest.mark.main_job


def written(shop: SmallShop, net: str, tax: str, gross: str) -> Quote:
    return Quote.objects.create(
        customer=shop.customer,
        made_by=shop.counter,
        valid_until=timezone.now(),
        currency="EUR",
        tax_percent=Decimal(23),
        net=Decimal(net),
        tax=Decimal(tax),
        gross=Decimal(gross),
    )


# As floats these three do not add up: 400.03 + 92.01 is 492.03999999999996.
@pytest.mark.parametrize(
    "sums", [("400.03", "92.01", "492.04"), ("400.08", "92.02", "492.10"), ("0.10", "0.20", "0.30")]
)
def test_sums_that_floats_would_miss_are_kept(small_shop: SmallShop, sums: tuple[str, str, str]) -> None:
    quote = written(small_shop, *sums)
    quote.refresh_from_db()
    assert quote.gross == quote.net + quote.tax == Decimal(sums[2])


@pytest.mark.parametrize("gross", ["492.03", "492.05"])
def test_a_cent_too_few_or_too_many_is_refused(small_shop: SmallShop, gross: str) -> None:
    with pytest.raises(IntegrityError, match="quote_gross_is_net_plus_tax"), transaction.atomic():
        written(small_shop, "400.03", "92.01", gross)
