"""The page's own camera, before a real moving picture of a printed paper."""

import os

import pytest
import qrcode

from orders.tickets.code import spaced
from stages.floor.papers import print_tickets
from stages.log.fold import Kind
from stages.models import Entry
from stages.scan.decoder import DETECTOR, DETECTOR_PARTS, WASM
from tests.browser.conftest import PHONE, TABLET, Device
from tests.browser.film import film, printed
from tests.waiting import wait_until

pytestmark = pytest.mark.browser
PLAIN_HTTP = "rack.lan"
BUTTON = {"name": "Scan with the camera"}


@pytest.fixture
def board(shop):
    return shop.released()


@pytest.fixture
def camera(chromium, live_server, request, tmp_path):
    """`camera(paper)(size)` is a device whose camera sees that paper come and go."""
    browsers, made = [], []

    def sees(paper):
        pictures = film(paper, tmp_path / "film.mjpeg")
        browser = chromium.browser_type.launch(
            executable_path=os.environ["RACKBOUND_BROWSER"],
            args=[
                "--no-sandbox",
                "--use-fake-ui-for-media-stream",
                "--use-fake-device-for-media-stream",
                f"--use-file-for-fake-video-capture={pictures}",
                f"--host-resolver-rules=MAP {PLAIN_HTTP} 127.0.0.1",
            ],
        )
        browsers.append(browser)

        def device(size, host="localhost", **options):
            address = live_server.url.replace("localhost", host)
            folder = request.config.getoption("screenshots")
            made.append(Device(browser, address, size, folder, **options))
            return made[-1].sign_in("inka")

        return device

    yield sees
    for browser in browsers:
        browser.close()
    assert not [complaint for one in made for complaint in one.complaints]


def hide(page, hidden):
    """What a browser does when its tab goes behind another, and comes back."""
    page.evaluate(
        """hidden => {
            Object.defineProperty(document, "hidden", { value: hidden, configurable: true });
            document.dispatchEvent(new Event("visibilitychange"));
        }""",
        hidden,
    )


def test_a_ticket_held_before_the_camera_opens_its_board(camera, board):
    seeing = camera(printed(print_tickets([board.number])))
    address = f"**/T/{board.tickets.get().code}"
    for size in (PHONE, TABLET):
        page = seeing(size).page
        page.get_by_role("button", **BUTTON).click()
        page.wait_for_url(address)
        page.get_by_role("button", name="Take in hand").wait_for()
        # The next time the camera is on before anybody taps: a shared tablet lies there ready.
        page.get_by_role("link", name="Scan").click()
        page.wait_for_url(address)
    assert not Entry.objects.filter(board=board, kind=Kind.TAKEN).exists()


HOLDS = """async parts => {
    for (const name of await caches.keys()) {
        const kept = (await (await caches.open(name)).keys()).map(one => one.url);
        parts = parts.filter(part => !kept.some(url => url.endsWith(part)));
    }
    return !parts.length;
}"""


def test_without_signal_the_camera_opens_the_board_all_the_same(camera, board):
    one = camera(printed(print_tickets([board.number])))(PHONE, keeps_pages=True)
    page, ticket = one.page, f"/T/{board.tickets.get().code}"
    needed = ["/scan/", ticket, DETECTOR, *DETECTOR_PARTS, WASM]
    wait_until(
        lambda: page.evaluate(HOLDS, needed), "the phone never kept all that it needs", page=page
    )
    one.context.set_offline(True)
    page.goto("/scan/")
    page.get_by_role("button", **BUTTON).click()
    page.wait_for_url(f"**{ticket}")
    page.get_by_role("heading", name=f"Board {board.number}").wait_for()
    one.complaints.clear()  # Chromium reports the lost signal


def test_another_square_is_no_ticket_and_the_camera_goes_on(camera, board):
    seeing = camera(qrcode.make("LOT 4711 / DRUM 2").get_image().convert("L"))
    for size in (PHONE, TABLET):
        one = seeing(size)
        page = one.page
        one.look("camera-off")
        page.get_by_role("button", **BUTTON).click()
        page.get_by_text("That is no ticket: it says “LOT 4711 / DRUM 2”.").wait_for()
        one.look("camera-on")
        pressed = "main :is(a, button, summary, input:not([type=hidden])):visible"
        sizes = page.locator(pressed).evaluate_all(
            """all => all.map(one => [one.outerHTML.slice(0, 80),
            Math.min(one.getBoundingClientRect().width, one.getBoundingClientRect().height)])"""
        )
        assert len(sizes) >= 3
        assert not [html for html, least in sizes if least < 48]


def test_nobody_is_watched_from_a_pocket(camera, board):
    page = camera(qrcode.make("LOT 4711").get_image().convert("L"))(PHONE).page
    button, video = page.get_by_role("button", **BUTTON), page.locator("video")
    running = "video => !!video.srcObject?.getVideoTracks().some(one => one.readyState === 'live')"
    button.click()
    page.get_by_text("LOT 4711").wait_for()
    assert video.evaluate(running)
    hide(page, True)
    assert not video.evaluate(running)
    hide(page, False)
    page.get_by_text("LOT 4711").wait_for()
    assert video.evaluate(running)
    page.get_by_role("button", name="Stop the camera").click()
    assert not video.evaluate(running)
    page.reload()
    button.wait_for()


def test_what_keeps_the_camera_from_working_is_said_in_words(device, board):
    one = device(PHONE).sign_in("inka")
    page = one.page
    button = page.get_by_role("button", **BUTTON)
    button.click()  # this machine has none
    page.get_by_text("This device has no camera that can be used here.").wait_for()
    for trouble, words in [
        ("NotAllowedError", "The camera was refused. Allow it"),
        ("NotReadableError", "Something else is using the camera."),
    ]:
        page.evaluate(
            """name => { navigator.mediaDevices.getUserMedia =
            () => Promise.reject(new DOMException("no", name)); }""",
            trouble,
        )
        button.click()
        page.get_by_text(words).wait_for()
    one.look("camera-busy")


def test_a_reader_that_does_not_arrive_is_said_in_words(camera, board):
    one = camera(printed(print_tickets([board.number])))(PHONE)
    one.context.route("**/*.wasm", lambda route: route.abort())
    one.page.get_by_role("button", **BUTTON).click()
    one.page.get_by_text("could not be loaded").wait_for()
    one.complaints.clear()  # Chromium reports the file that did not come


def test_over_plain_http_the_page_says_what_is_missing_and_the_code_still_works(camera, board):
    one = camera(printed(print_tickets([board.number])))(PHONE, host=PLAIN_HTTP)
    page = one.page
    page.get_by_text("This page came over plain http").wait_for()
    assert not page.get_by_role("button", **BUTTON).is_visible()
    one.complaints.clear()  # Chromium names a header that it heeds over https alone
    one.look("plain-http")
    page.get_by_label("Code under the square").fill(spaced(board.tickets.get().code))
    page.get_by_role("button", name="Open the ticket").click()
    page.get_by_role("button", name="Take in hand").click()
    page.get_by_text("Logged").wait_for()
    assert Entry.objects.filter(board=board, kind=Kind.TAKEN).exists()
    one.complaints.clear()
