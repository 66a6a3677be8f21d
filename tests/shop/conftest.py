"""The small shop, for tests of single acts."""

import pytest

from tests.clerks import Clerk
from tests.shop import small


@pytest.fixture
def small_shop(clerk: Clerk) -> small.SmallShop:
    return small.build(clerk("counter"), clerk("catalogue"))
