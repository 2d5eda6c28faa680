"""A real browser for the tests in this folder: Debian's Chromium, driven by Playwright. Where its shell
without a screen is installed that one is taken: it draws the same pages at a third of the work.

Where either is missing the tests are skipped with that reason; with FREEFOOT_REQUIRE_BROWSER set they
fail instead, so that nobody takes a skipped browser for a tested one.
"""

import os
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.urls import reverse

PLACES = [Path("/usr/bin/chromium-headless-shell"), Path("/usr/bin/chromium")]
if said := os.environ.get("FREEFOOT_CHROMIUM"):
    PLACES = [Path(said)]
CHROMIUM = next((place for place in PLACES if place.exists()), PLACES[-1])
# Nothing that calls its maker's hosts, and no sandbox, for tests may run as root.
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def missing():
    """Why there is no browser, or None."""
    if not CHROMIUM.exists():
        return f"there is no Chromium at {CHROMIUM}"
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return "Playwright is not installed"
    return None


def pytest_collection_modifyitems(items):
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser():
    if reason := missing():
        if os.environ.get("FREEFOOT_REQUIRE_BROWSER"):
            pytest.fail(f"a browser is required, but {reason}")
        pytest.skip(reason)
    from playwright.sync_api import expect, sync_playwright

    # Busy machines are slow, not wrong.
    expect.set_options(timeout=15_000)

    # Playwright's event loop runs in this thread; the ORM would take it for asynchronous code.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield opened
        opened.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


class Visitor:
    """Somebody at a browser of their own. `complaints` gathers what a page must never do, save what a test
    brings about itself: `expected` has parts of such messages."""

    expected: tuple[str, ...] = ()

    def __init__(self, browser, address, **look):
        self.context = browser.new_context(base_url=address, **look)
        self.context.set_default_timeout(15_000)
        self.complaints = []
        self.host = urlsplit(address).netloc
        self.page = self.context.new_page()
        self.page.on("pageerror", lambda error: self.complaints.append(f"script: {error}"))
        self.page.on("console", self._hear)
        self.page.on("request", self._see)

    def _hear(self, message):
        if message.type == "error" and not any(said in message.text for said in self.expected):
            self.complaints.append(f"console: {message.text}")

    def _see(self, request):
        if urlsplit(request.url).netloc not in {self.host, ""}:
            self.complaints.append(f"another host: {request.url}")

    def sign_in(self, username, password="freefoot-demo"):
        """Signs in by the page, and stands on today's page after."""
        self.page.goto("/sign-in/")
        self.page.get_by_label("Username").fill(username)
        self.page.get_by_label("Password").fill(password)
        self.page.get_by_role("button", name="Sign in").click()
        self.page.wait_for_url("**/")
        return self.page


@pytest.fixture
def visit(browser):
    """visit(address, viewport={...}) gives a Visitor; at the end no page may have complained."""
    visitors = []

    def arrive(address, **look):
        visitors.append(Visitor(browser, address, **look))
        return visitors[-1]

    yield arrive
    for visitor in visitors:
        visitor.context.close()
    assert [visitor.complaints for visitor in visitors] == [[] for _ in visitors]


@pytest.fixture
def at_the_page(live_server, visit, client, director):
    """at_the_page(name, *args) stands on a page of the curriculum, the director signed in."""
    client.force_login(director)
    session = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}

    def open_page(name, *args, **look):
        visitor = visit(live_server.url, **look)
        visitor.context.add_cookies([session])
        visitor.page.goto(reverse(f"curriculum:{name}", args=args))
        return visitor.page

    return open_page
