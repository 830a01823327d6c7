"""A real Chromium, pages that must stay free of console errors, and pictures on request."""

import os
import threading
from importlib import import_module
from pathlib import Path
from threading import get_ident

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.core.signals import request_finished, request_started
from django.test import Client
from django.urls import get_resolver
from playwright.sync_api import expect, sync_playwright

from orders.accounts.models import User
from tests.waiting import PATIENCE_S, wait_until
from tests.world import PASSWORD, World

# The synchronous Playwright API runs an event loop in this thread, and Django would refuse to
# touch the database beside it. Only these tests do.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

# No test is about speed, and a busy machine may be many times slower than a quiet one.
PATIENCE_MS = PATIENCE_S * 1000
expect.set_options(timeout=PATIENCE_MS)

PHONE, TABLET, DESK = (360, 740), (820, 1180), (1440, 900)
SIZES = {"phone": PHONE, "tablet": TABLET, "desk": DESK}


def _screen(name, *what, often):
    marks = () if often else pytest.mark.long
    return pytest.param(SIZES[name], *what, id="-".join((name, *what)), marks=marks)


# A phone by day at every run; the other screens in the long form. Every page is seen at all three
# sizes in the long form of test_every_page.
SCREENS = [
    _screen(name, scheme, often=(name, scheme) == ("phone", "light"))
    for name in SIZES
    for scheme in ("light", "dark")
]
ROOMS = [_screen(name, often=name == "phone") for name in SIZES]


# A chart takes its new width a frame after its column has.
CHARTS_FIT = """() => [...document.querySelectorAll("[data-draw] canvas")].every(
  (canvas) => canvas.offsetWidth <= canvas.parentElement.clientWidth
)"""


def pytest_collection_modifyitems(items):
    for item in items:
        if "tests/browser" in str(item.path):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium():
    path = os.environ.get("RACKBOUND_BROWSER")
    if not path:
        pytest.fail("RACKBOUND_BROWSER names no Chromium. 'python3 manage.py test' finds one.")
    # Else the first page waits for all views to be imported, and for the compiled floor.
    assert get_resolver().url_patterns
    import_module("stages.flow.playing")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()


# The acknowledgement of a tap covers the page for a moment, which a busy machine may not see.
_COUNT_FLASHES = """() => {
  window.flashes = 0;
  new MutationObserver((changes) => {
    const added = changes.flatMap((change) => [...change.addedNodes]);
    window.flashes += added.filter((node) => node.matches?.(".flash")).length;
  }).observe(document.body, { childList: true, subtree: true });
}"""


def count_flashes(page) -> None:
    """From now on `window.flashes` is how many acknowledgements this page has shown."""
    page.evaluate(_COUNT_FLASHES)


class Device:
    """One person's device: a page of one size, and everything its console complained about."""

    def __init__(self, browser, base_url, size, pictures, *, keeps_pages=False, **options):
        """`keeps_pages` lets the service worker fetch what a device needs without signal, which
        takes a fifth of the time of a test that is not about that."""
        self.width, height = size
        self.context = browser.new_context(
            base_url=base_url,
            viewport={"width": self.width, "height": height},
            service_workers="allow" if keeps_pages else "block",
            **options,
        )
        self.context.set_default_timeout(PATIENCE_MS)
        self.page = self.context.new_page()
        self.url = base_url
        self.pictures = pictures
        self.complaints = []
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _heard(self, message):
        # A refused form answers 409 or 422 on purpose, and Chromium reports every such status; it
        # reports too what a page asked for while a test had taken its signal away.
        on_purpose = ("status of 409", "status of 422", "ERR_INTERNET_DISCONNECTED")
        refused = any(words in message.text for words in on_purpose)
        if message.type == "error" and not refused:
            self.complaints.append(f"{message.text} at {self.page.url}")

    def known(self, username):
        """Signed in since yesterday: no page is open yet."""
        client = Client()
        person = User.objects.get(username=username)
        client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        self.context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": self.url}])
        return self

    def sign_in(self, username):
        """As a person does it, who then stands on the first page of that person's role."""
        self.page.goto("/sign-in/")
        self.page.get_by_label("Username").fill(username)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_role("button", name="Sign in").click()
        self.page.wait_for_url(lambda url: "/sign-in/" not in url)
        return self

    def turn(self, size):
        """The page open on it has another size now."""
        self.width, height = size
        self.page.set_viewport_size({"width": self.width, "height": height})
        self.page.wait_for_function(CHARTS_FIT, polling=20)

    def look(self, name, *, axe=True):
        """Keeps a picture, and holds the page to accessibility, width and a quiet console."""
        page = self.page
        page.wait_for_load_state()  # a page just come to has for a moment nothing in it to measure
        if self.pictures:
            folder = Path(self.pictures)
            folder.mkdir(parents=True, exist_ok=True)
            # A hidden caret would be an inline style, which the policy refuses.
            picture = folder / f"{name}-{self.width}.png"
            page.screenshot(path=picture, full_page=True, caret="initial")
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= self.width, f"{name} is {wide} px wide on a screen of {self.width}"
        # What is in order is not told of, which takes a quarter of the time off.
        only = {"resultTypes": ["violations"]}
        found = Axe().run(page, options=only).response["violations"] if axe else []
        told = [
            f"{v['id']}: {v['help']}: {[node['html'][:120] for node in v['nodes'][:3]]}"
            for v in found
        ]
        assert not told, f"{name} at {self.width} px: " + "\n".join(told)
        assert not self.complaints, self.complaints


_running: set[int] = set()
request_started.connect(lambda environ=None, **_: _running.add(get_ident()), weak=False)
request_finished.connect(lambda **_: _running.discard(get_ident()), weak=False)


def requests_running() -> bool:
    """Whether the live server is at work on what a browser had asked for before it was closed: its
    threads may not ask the database once the test is over."""
    alive = {thread.ident for thread in threading.enumerate()}
    return bool((_running - {threading.main_thread().ident}) & alive)


@pytest.fixture
def device(chromium, live_server, request):
    """`device(PHONE)` is a fresh phone; nothing it complained about passes unseen."""
    made = []

    def make(size, **options):
        made.append(
            Device(
                chromium, live_server.url, size, request.config.getoption("screenshots"), **options
            )
        )
        return made[-1]

    yield make
    for one in made:
        one.context.close()
    wait_until(lambda: not requests_running(), "the server never finished a request")
    assert not [complaint for one in made for complaint in one.complaints]


@pytest.fixture
def shop(transactional_db) -> World:
    """The small factory, in a database that the live server sees."""
    assert not User.objects.exists()
    return World()
