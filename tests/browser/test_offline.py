"""The bays without signal: pages open, taps are kept, and each is sent once and in order."""

import os
import signal
import time
from contextlib import contextmanager, suppress
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Error, expect

from stages.log.fold import Kind
from stages.log.models import Entry, Position
from stages.outbox.models import Clash
from tests.browser.conftest import PHONE, TABLET, count_flashes
from tests.waiting import wait_until
from tests.world import MONDAY, PASSWORD, PIN

pytestmark = pytest.mark.browser

TAKE, FINISH = "Take in hand", "Finish"
# A slow phone in a bay: a processor four times slower, 400 kbit/s, 400 ms there and back.
SLOW = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
TO_THE_BUTTON_S, TO_THE_ACKNOWLEDGEMENT_S = 2.0, 0.3


@pytest.fixture
def board(shop):
    return shop.released(art="Deck inlay in sea-green cloth")


def ticket_of(board):
    return f"/T/{board.tickets.get().code}"


def kinds(board):
    logged = Entry.objects.filter(board=board).order_by("seq")
    return list(logged.values_list("kind", flat=True))[1:]


def button(page, name):
    return page.get_by_role("button", name=name, exact=True)


def tap(page, name):
    """And sees it acknowledged; what covers the page for that moment is not waited for twice."""
    page.locator("[data-flash]").wait_for(state="detached")
    count_flashes(page)
    button(page, name).click()
    page.wait_for_function("() => window.flashes > 0")


def waits(page, number):
    expect(page.locator("[data-outbox-count]")).to_have_text(f"{number} waiting to send")


def all_sent(page):
    expect(page.locator("[data-outbox]")).to_be_hidden()


def kept(page, *paths):
    """The worker is there, and so are the pages."""
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    for path in paths:
        have = f"async () => Boolean(await caches.match('{path}'))"
        wait_until(lambda have=have: page.evaluate(have), f"{path} is not kept")


@pytest.fixture
def phone(shop, device):
    return device(PHONE, keeps_pages=True).sign_in("inka")


def test_pages_open_again_and_a_whole_step_is_logged_without_signal(phone, board, shop):
    other, page, ticket = shop.released(), phone.page, ticket_of(board)
    page.goto(ticket)
    kept(page, ticket, ticket_of(other), "/scan/")
    text = page.evaluate(f"caches.match('{ticket}').then((kept) => kept.text())")
    assert "Inka" not in text
    phone.context.set_offline(True)

    page.goto("/scan/")
    expect(page.locator(".bay-who")).to_contain_text("Inka")
    page.get_by_role("link", name=str(other.number)).click()
    expect(page.get_by_role("heading", name=str(other.number))).to_be_visible()
    page.goto(ticket)
    phone.look("offline")
    tap(page, TAKE)
    expect(page.locator(".state.yours")).to_contain_text("In your hands since")
    waits(page, 1)
    page.reload()
    waits(page, 1)
    tap(page, FINISH)
    waits(page, 2)
    # Fin boxes come next, with their own card; another has the hands for it too, and so has Inka.
    expect(page.locator("caption")).to_have_text("Fin boxes")
    expect(page.get_by_role("link", name=f"Next: {other.number}")).to_be_visible()
    tap(page, "Take in hand, it is good")
    waits(page, 3)
    page.locator("[data-flash]").wait_for(state="detached")
    phone.look("offline-three")
    assert kinds(board) == []

    listed = phone.context.new_page()
    listed.goto("/scan/")
    expect(listed.get_by_text("No signal: this is what")).to_be_visible()
    phone.context.set_offline(False)
    all_sent(page)
    expect(listed.get_by_text("No signal: this is what")).to_have_count(0)
    expect(listed.get_by_role("button", name="Sign out")).to_be_visible()
    assert kinds(board) == [Kind.TAKEN, Kind.FINISHED, Kind.TAKEN]
    expect(page.get_by_role("status").get_by_text("Logged")).to_be_visible()
    assert Position.objects.get(board=board).holder.username == "inka"


def test_a_race_lost_with_signal_is_a_refusal_on_that_screen_and_nothing_more(phone, board, shop):
    page = phone.page
    page.goto(ticket_of(board))
    button(page, TAKE).wait_for()
    page.wait_for_load_state("networkidle")
    shop.log(board, Kind.TAKEN, shop.odd, MONDAY + timedelta(hours=1))
    button(page, TAKE).click()
    notice = page.locator("[data-slot=said] .notice.error")
    expect(notice).to_have_text("Odd has this board in hand. Ask Odd to put it down first.")
    all_sent(page)
    assert kinds(board) == [Kind.TAKEN] and not Clash.objects.exists()


def test_what_is_not_sent_yet_cannot_be_taken_off_the_list(phone, board):
    page, ticket = phone.page, ticket_of(board)
    page.goto(ticket)
    kept(page, ticket)
    phone.context.set_offline(True)
    tap(page, TAKE)
    waits(page, 1)
    page.locator("[data-outbox] summary").click()
    expect(page.locator("[data-outbox-list]")).to_contain_text(f"{board.number}: in hand")
    expect(page.locator("[data-outbox-list] button")).to_have_count(0)


def test_words_being_typed_stay_and_the_tap_before_them_is_told_as_logged(phone, board):
    page, ticket = phone.page, ticket_of(board)
    page.goto(ticket)
    kept(page, ticket)
    phone.context.set_offline(True)
    tap(page, TAKE)
    said = page.locator("[data-slot=said] [role=status]")
    expect(said).to_contain_text("Kept on this device")
    page.get_by_text("Something wrong").click()
    page.locator("#more").fill("The stringer is split")
    phone.context.set_offline(False)
    all_sent(page)
    expect(said).to_contain_text("Logged")
    expect(page.locator("#more")).to_have_value("The stringer is split")
    expect(page.locator("#more")).to_be_focused()


def test_what_was_tapped_outlives_a_killed_browser(board, live_server, tmp_path, chromium):
    ticket = ticket_of(board)
    with profile(chromium, tmp_path, live_server.url) as (context, page):
        page.goto("/sign-in/")
        page.get_by_label("Username").fill("inka")
        page.get_by_label("Password").fill(PASSWORD)
        button(page, "Sign in").click()
        page.wait_for_url("**/scan/")
        page.goto(ticket)
        kept(page, ticket)
        context.set_offline(True)
        tap(page, TAKE)
        kill(tmp_path)
    assert kinds(board) == []
    with profile(chromium, tmp_path, live_server.url) as (context, page):
        page.goto(ticket)
        wait_until(lambda: kinds(board) == [Kind.TAKEN], "the tap was not sent")


@contextmanager
def profile(chromium, folder, base_url):
    """A phone whose browser keeps its profile in `folder`."""
    context = chromium.browser_type.launch_persistent_context(
        folder,
        executable_path=os.environ["RACKBOUND_BROWSER"],
        args=["--no-sandbox"],
        base_url=base_url,
        viewport={"width": PHONE[0], "height": PHONE[1]},
    )
    yield context, context.pages[0]
    with suppress(Error):  # it may have been killed
        context.close()


def kill(folder):
    """SIGKILL for the browser of this profile, as a dead battery would."""
    for process in Path("/proc").glob("[0-9]*"):
        try:
            told = (process / "cmdline").read_bytes().decode().split("\0")
        except OSError:
            continue
        if f"--user-data-dir={folder}" in told and not any("--type=" in one for one in told):
            os.kill(int(process.name), signal.SIGKILL)
            return
    pytest.fail("no browser runs on this profile")


@pytest.mark.parametrize("status", [401, 403, 500])
def test_an_answer_of_no_use_loses_nothing(phone, board, status):
    page = phone.page
    page.goto(ticket_of(board))
    page.route("**/scan/batch/", lambda route: route.fulfill(status=status, body="no"))
    tap(page, TAKE)
    page.locator("[data-outbox] summary").click()
    said = "Sign in to send." if status == 401 else f"The server answered {status}."
    expect(page.locator("[data-outbox-said]")).to_have_text(said)
    page.reload()
    waits(page, 1)
    page.unroute("**/scan/batch/")
    all_sent(page)
    assert kinds(board) == [Kind.TAKEN]
    phone.complaints.clear()  # Chromium reports the answers


def test_two_tabs_send_each_entry_once(phone, board, shop):
    first, other = phone.page, shop.released()
    second = phone.context.new_page()
    first.goto(ticket_of(board))
    second.goto(ticket_of(other))
    kept(first, ticket_of(board), ticket_of(other))
    phone.context.set_offline(True)
    tap(first, TAKE)
    tap(second, TAKE)
    waits(first, 2)
    tap(first, FINISH)
    waits(second, 3)
    phone.context.set_offline(False)
    all_sent(first)
    all_sent(second)
    assert kinds(board) == [Kind.TAKEN, Kind.FINISHED]
    assert kinds(other) == [Kind.TAKEN]


def test_over_plain_http_a_tap_is_kept_too(device, board):
    """No worker, no locks, no randomUUID on an address that the browser does not trust."""
    # Browsers trust localhost whatever the scheme: what they would keep back is taken away.
    one = device(PHONE).sign_in("inka")
    page = one.page
    page.add_init_script(
        """for (const name of ["locks", "serviceWorker", "storage"])
             delete Navigator.prototype[name];
           delete window.caches;
           delete Crypto.prototype.randomUUID;"""
    )
    page.goto(ticket_of(board))
    page.wait_for_load_state("networkidle")
    one.context.set_offline(True)
    tap(page, TAKE)
    waits(page, 1)
    tap(page, FINISH)
    waits(page, 2)
    one.context.set_offline(False)
    all_sent(page)
    assert kinds(board) == [Kind.TAKEN, Kind.FINISHED]


def test_a_browser_that_keeps_nothing_says_so_and_sends_all_the_same(phone, board):
    page = phone.page
    page.add_init_script(
        """const open = IDBFactory.prototype.open;
           IDBFactory.prototype.open = function (name, ...more) {
             if (name !== "bay") return open.call(this, name, ...more);
             throw new DOMException("Connection to Indexed Database server lost", "UnknownError");
           };"""
    )
    page.goto(ticket_of(board))
    expect(page.get_by_text("This browser keeps nothing at present")).to_be_visible()
    tap(page, TAKE)
    all_sent(page)
    assert kinds(board) == [Kind.TAKEN]


def test_a_shared_tablet_without_signal_asks_who_it_is_and_marks_it(device, board):
    shared = device(TABLET, has_touch=True, keeps_pages=True).sign_in("mara")
    page, ticket = shared.page, ticket_of(board)
    page.goto("/tablets/")
    page.get_by_label("Name of this tablet").fill("Shaping bay")
    page.get_by_role("button", name="Make it a shared tablet").click()
    page.wait_for_url("**/who/")
    page.goto(ticket)
    page.get_by_role("link", name="Inka").click()
    for digit in PIN:
        page.get_by_role("button", name=digit, exact=True).click()
    page.get_by_role("button", name="OK").click()
    kept(page, ticket)
    page.get_by_role("button", name="Done, forget me").click()
    page.wait_for_url("**/who/")
    shared.context.set_offline(True)
    page.goto(ticket)
    expect(page.get_by_role("heading", name="Who is it?")).to_be_visible()
    expect(button(page, TAKE)).to_have_count(0)
    shared.look("offline-who")
    button(page, "Inka").click()
    expect(page.locator(".bay-who")).to_contain_text("Inka, no PIN")
    tap(page, TAKE)
    waits(page, 1)
    shared.context.set_offline(False)
    wait_until(lambda: kinds(board) == [Kind.TAKEN], "the tablet's entry was not sent")
    assert Position.objects.get(board=board).holder.username == "inka"


def test_signing_out_drops_the_pages_and_never_what_waits(phone, board):
    page, ticket = phone.page, ticket_of(board)
    page.goto(ticket)
    kept(page, ticket, "/scan/")
    page.route("**/scan/batch/", lambda route: route.fulfill(status=500, body="no"))
    tap(page, TAKE)
    page.goto("/scan/")
    waits(page, 1)
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/**")
    gone = f"async () => !(await caches.match('{ticket}'))"
    wait_until(lambda: page.evaluate(gone), "the page of a board is still there")
    page.unroute("**/scan/batch/")
    phone.sign_in("inka")
    page.goto("/scan/")
    all_sent(page)
    assert kinds(board) == [Kind.TAKEN]
    phone.complaints.clear()  # Chromium reports the answers


@pytest.mark.long
def test_the_budget_of_one_tap_on_a_slow_phone(phone, board, shop, capsys):
    """From the scan to the button and from the tap to the acknowledgement: the product's own
    budgets, on a processor four times slower and a network of 400 kbit/s with 400 ms."""
    other, page = shop.released(), phone.page
    page.goto(ticket_of(other))
    kept(page, ticket_of(other))
    slow = phone.context.new_cdp_session(page)
    slow.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    slow.send("Network.enable")
    slow.send("Network.emulateNetworkConditions", SLOW)
    begun = time.monotonic()
    page.goto(ticket_of(board), wait_until="commit")
    button(page, TAKE).wait_for()
    to_button = time.monotonic() - begun
    page.evaluate(
        """() => {
          addEventListener("click", () => (window.tapped = performance.now()), true);
          new MutationObserver(() => {
            if (document.querySelector("[data-flash]")) window.seen ??= performance.now();
          }).observe(document.body, { childList: true });
        }"""
    )
    button(page, TAKE).click()
    page.locator("[data-flash]").wait_for()
    to_acknowledgement = page.evaluate("window.seen - window.tapped") / 1000
    with capsys.disabled():
        print(
            f"\n  1 tap; {to_button:.2f} s from the scan to the button, "
            f"{to_acknowledgement * 1000:.0f} ms from the tap to the acknowledgement"
        )
    assert to_button < TO_THE_BUTTON_S
    assert to_acknowledgement < TO_THE_ACKNOWLEDGEMENT_S
    all_sent(page)
    assert kinds(board) == [Kind.TAKEN]
