"""A phone whose browser can be killed and opened again on the same profile, and what it keeps."""

import contextlib
import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import BrowserType, Error

from tests.served import Server
from tests.waiting import PATIENCE_S, wait_until
from tests.world import PASSWORD

# Taken in hand, put down, and so on: the button that follows each tap says that it is kept.
TAPS = ["Take in hand", *["Put it down, not finished", "Carry on"] * 50]

_KEPT = """() => new Promise((resolve, reject) => {
  const asked = indexedDB.open("bay");
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const all = asked.result.transaction("intents").objectStore("intents").getAll();
    all.onsuccess = () => { asked.result.close(); resolve(all.result.map((one) => one.ref)); };
  };
})"""
_PAGES = """async () => {
  if (!navigator.serviceWorker.controller) return [];
  const pages = await (await caches.open("kept-own")).keys();
  return pages.map((one) => new URL(one.url).pathname);
}"""


class Phone:
    """`made` are the ids of everything tapped on it so far, in order."""

    def __init__(self, chromium: BrowserType, path: str, profile: Path, url: str):
        self._launch = lambda: chromium.launch_persistent_context(
            profile,
            executable_path=path,
            args=["--no-sandbox"],
            base_url=url,
            viewport={"width": 360, "height": 740},
        )
        self._profile = str(profile)
        self.made: list[str] = []
        self.offline = False
        self.open()

    def open(self) -> None:
        self.context = self._launch()
        self.context.set_default_timeout(PATIENCE_S * 1000)
        self.context.set_offline(self.offline)
        self.page = self.context.pages[0]

    def close(self) -> None:
        with contextlib.suppress(Error):
            self.context.close()

    def kill(self) -> None:
        """SIGKILL to every process of this browser."""
        for entry in Path("/proc").iterdir():
            with contextlib.suppress(OSError):
                if entry.name.isdigit() and self._profile in (entry / "cmdline").read_text():
                    os.kill(int(entry.name), signal.SIGKILL)
        self.close()

    def without_signal(self, on: bool) -> None:
        self.offline = on
        self.context.set_offline(on)

    def sign_in(self, username: str, codes: list[str]) -> None:
        """And stays until the browser has these boards' pages for the hours without signal."""
        self.page.goto("/sign-in/")
        self.page.get_by_label("Username").fill(username)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_role("button", name="Sign in").click()
        self.page.wait_for_url(lambda url: "/sign-in/" not in url)
        self.page.goto(f"/T/{codes[0]}")
        wanted = {f"/T/{code}" for code in codes}
        wait_until(
            lambda: wanted <= set(self.page.evaluate(_PAGES)), "the pages were not kept"
        )
        # A browser that is killed may not have written down who is signed in: closing it does.
        self.close()
        self.open()

    def kept(self) -> list[str]:
        """The ids of what waits to be sent, in the order it was made."""
        return self.page.evaluate(_KEPT)

    def work(self, code: str, taps: int, done: int = 0) -> None:
        """So many taps on one board, on which so many were made before."""
        self.page.goto(f"/T/{code}")
        for label, following in zip(TAPS[done:][:taps], TAPS[done + 1 :], strict=False):
            self.page.get_by_role("button", name=label, exact=True).click()
            self.page.get_by_role("button", name=following, exact=True).wait_for()
        self.made += [ref for ref in self.kept() if ref not in self.made]

    def send(self) -> None:
        """As when the signal is back."""
        self.page.evaluate("dispatchEvent(new Event('online'))")


def kill_server_while_sending(
    server: Server, phones: list[Phone], *, entries: Callable[[], int], chance: random.Random
) -> bool:
    """Kills the server once some entries more are in the log; False if all were sent by then.

    It gives the phones their signal back itself, once it has counted: they send at once, and a few
    entries take no time.
    """
    before, more = entries(), chance.randint(1, 5)
    for phone in phones:
        phone.without_signal(False)
        phone.send()
    asked = time.monotonic()

    def some_are_in() -> bool:
        # What is sent once more may be in the log already: then the log does not grow by it.
        look = time.monotonic() > asked + 1  # to look costs the phones time to send
        return entries() >= before + more or (look and not any(one.kept() for one in phones))

    wait_until(some_are_in, "the phones sent nothing")
    server.kill()
    in_the_middle = any(phone.kept() for phone in phones)
    server.start()
    return in_the_middle


def send_the_rest(phones: list[Phone]) -> None:
    def all_sent() -> bool:
        for phone in phones:
            phone.send()
        return not any(phone.kept() for phone in phones)

    wait_until(all_sent, "not everything was sent")
