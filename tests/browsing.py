"""A real browser for the pages: Debian's Chromium, driven by Playwright."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:  # Playwright takes a moment to import, and most runs need no browser.
    from django.contrib.auth.models import User
    from playwright.sync_api import Browser, Locator, Page
    from pytest_django.live_server_helper import LiveServer

PROGRAMS = ["chromium", "chromium-browser", "google-chrome"]
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PATIENCE_MS = 15_000
PASSWORD = "spanner-on-the-bench"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for a file of tests; a machine without it fails them and says what to install.

    It goes with the file, so that no other test shares a thread with Playwright's event loop.
    """
    from django.db import connections
    from playwright.sync_api import expect, sync_playwright

    program = next(filter(None, map(shutil.which, PROGRAMS)), None)
    if program is None:
        pytest.fail("No Chromium for the browser tests: `apt-get install chromium`, then run again.")
    # Playwright's sync API keeps an event loop alive in this thread, and Django refuses to query from
    # a thread that has one. Nothing of ours ever runs in that loop, so the refusal guards nothing here.
    # Connections are kept apart for code beside a loop: those of either side are closed before the other
    # side begins, lest one is left open on a database that is to be copied.
    connections.close_all()
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setitem(os.environ, "DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        browser = playwright.chromium.launch(executable_path=program, args=ARGUMENTS)
        expect.set_options(timeout=PATIENCE_MS)
        yield browser
        browser.close()
        connections.close_all()


@contextmanager
def visiting(browser: Browser, address: str, *, java_script_enabled: bool = True) -> Iterator[Page]:
    """A fresh page of a fresh visitor to the shop at `address`; a script error fails the test at the end."""
    context = browser.new_context(base_url=address, java_script_enabled=java_script_enabled)
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    try:
        yield page
    finally:
        context.close()
    assert errors == [], "A script on the page failed."


def follow(target: Locator) -> None:
    """Press what leads to another page, and wait until that page listens.

    A key pressed between the page and its script does what the page does without scripts.
    """
    with target.page.expect_navigation():
        target.click()


def sign_in(page: Page, user: User, desk: str) -> None:
    """Whoever was signed in leaves first; the title block leads to the desk."""
    from playwright.sync_api import expect

    user.set_password(PASSWORD)
    user.save()
    page.goto("/")
    leave = page.get_by_role("button", name="Sign out")
    if leave.count():
        follow(leave)
    page.get_by_label("Name").fill(user.username)
    page.get_by_label("Password").fill(PASSWORD)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("contentinfo")).to_contain_text(user.username)
    follow(page.get_by_role("navigation", name="Desks").get_by_role("link", name=desk))


@pytest.fixture
def page(browser: Browser, live_server: LiveServer) -> Iterator[Page]:
    """A visitor's page: `page.goto("/")` is the served shop, over the test's own database."""
    with visiting(browser, live_server.url) as page:
        yield page
