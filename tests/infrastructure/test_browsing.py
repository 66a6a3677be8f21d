"""The browser shares a database with its test, and a script error fails the test."""

import pytest
from django.contrib.auth.models import Group
from playwright.sync_api import Browser, Page, expect

from tests.browsing import visiting


def test_the_test_may_query_while_the_browser_is_open(page: Page) -> None:
    Group.objects.create(name="pickers")
    assert Group.objects.filter(name="pickers").exists()


def test_a_page_of_the_live_server_is_shown(page: Page) -> None:
    response = page.goto("/no-such-page")
    assert response is not None
    assert response.status == 404
    expect(page.locator("body")).to_contain_text("Not Found")


def test_a_script_error_fails_the_test(browser: Browser) -> None:
    throw = "() => { setTimeout(() => { throw new Error('torn label') }) }"
    failing = pytest.raises(AssertionError, match="torn label")
    with failing, visiting(browser, "http://localhost") as page, page.expect_event("pageerror"):
        page.evaluate(throw)
