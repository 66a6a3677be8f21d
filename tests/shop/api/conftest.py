"""`api("counter")` talks to the API as that desk; `api("")` as nobody."""

import pytest

from tests.clerks import Clerk
from tests.shop import small
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, Caller


@pytest.fixture
def api(clerk: Clerk) -> Api:
    callers: dict[str, Caller] = {}

    def at(desk: str) -> Caller:
        if desk not in callers:
            callers[desk] = Caller(clerk(desk) if desk else None)
        return callers[desk]

    return at


@pytest.fixture
def stages(small_shop: small.SmallShop, clerk: Clerk) -> Stages:
    return Stages(small_shop, clerk)
