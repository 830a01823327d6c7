"""A scanner that types like a keyboard, on the pages of a bay; and a tablet that knows its bay."""

import time

import pytest
from playwright.sync_api import expect

from orders.models import Tablet
from orders.tickets.code import new_code, read_code
from orders.tickets.sheets import scan_address
from stages.devices.models import BayTablet
from stages.log.fold import Kind
from stages.log.models import Entry
from stages.outside.code import scan_address as manifest_address
from tests.browser.conftest import DESK, PHONE, TABLET
from tests.world import PIN

pytestmark = pytest.mark.browser

# What a device makes of the plain layout that a scanner speaks: by what stands on its keys.
NORWEGIAN = str.maketrans({":": "Æ", "/": "-"})
GERMAN = str.maketrans({":": "Ö", "/": "-", "Y": "Z", "Z": "Y", "-": "ß"})
KEYS = {":": "Semicolon", "/": "Slash", ".": "Period", "-": "Minus", " ": "Space", "Enter": "Enter"}


@pytest.fixture
def boards(shop):
    return shop.released(), shop.released()


def address_of(board):
    return scan_address(board.tickets.get().code)


def opened(board):
    return f"**/T/{board.tickets.get().code}"


def types(page, text, *, gap, layout=None):
    """Keys pressed `gap` seconds apart by their own clock; `layout` is what the device reads."""
    keys = page.context.new_cdp_session(page)
    at = time.time()
    for one in [*text, "Enter"]:
        said = one.translate(layout or {}) if one != "Enter" else one
        code = KEYS.get(one, f"Digit{one}" if one.isdigit() else f"Key{one.upper()}")
        told = {"key": said, "code": code, "timestamp": at}
        letter = {"text": "\r", "windowsVirtualKeyCode": 13} if one == "Enter" else {"text": said}
        keys.send("Input.dispatchKeyEvent", {"type": "keyDown", **told, **letter})
        keys.send("Input.dispatchKeyEvent", {"type": "keyUp", **told})
        at += gap
    keys.detach()


def scans(page, text, layout=None):
    types(page, text, gap=0.012, layout=layout)


def thumb_on_the_button(page):
    page.wait_for_load_state("networkidle")  # the page draws its buttons anew when it has settled
    button = page.get_by_role("button", name="Take in hand")
    button.focus()
    expect(button).to_be_focused()


def test_a_scan_opens_the_board_and_presses_nothing(device, boards):
    first, second = boards
    page = device(PHONE).sign_in("inka").page
    page.goto(f"/T/{first.tickets.get().code}")
    thumb_on_the_button(page)
    scans(page, address_of(second))
    page.wait_for_url(opened(second))
    page.get_by_text("Something wrong").click()
    page.get_by_label("Where, and what to do").or_(page.get_by_label("More, or")).first.focus()
    scans(page, address_of(first))
    page.wait_for_url(opened(first))
    assert not Entry.objects.filter(kind=Kind.TAKEN).exists()


def test_a_scan_of_the_bare_code_opens_the_board(device, boards):
    page = device(PHONE).sign_in("inka").page
    page.get_by_role("heading", name="Next for you").click()
    scans(page, boards[0].tickets.get().code.lower())
    page.wait_for_url(opened(boards[0]))


@pytest.mark.parametrize("layout", [NORWEGIAN, GERMAN], ids=["norwegian", "german"])
def test_a_device_of_another_layout_finds_the_code_all_the_same(device, boards, layout):
    page = device(TABLET).sign_in("inka").page
    for board in boards:
        scans(page, address_of(board), layout)
        page.wait_for_url(opened(board))


def test_without_the_keys_themselves_the_end_of_the_address_is_enough(device, boards):
    """Some wireless scanners say what they type, not on which key."""
    page = device(TABLET).sign_in("inka").page
    typed = address_of(boards[0]).translate(NORWEGIAN)
    found = page.evaluate(
        """async typed => (await import("/static/js/scan/wedge.js")).typedPaper(typed, "")""", typed
    )
    assert found == f"/T/{boards[0].tickets.get().code}"


def test_a_manifest_is_opened_as_well(device, boards):
    one, code = device(PHONE).sign_in("inka"), new_code()
    one.page.get_by_role("heading", name="Next for you").click()
    scans(one.page, manifest_address(code), NORWEGIAN)
    one.page.wait_for_url(f"**/M/{code}")
    one.complaints.clear()  # there is none of this code: Chromium reports the 404


def test_fingers_are_no_scanner(device, boards):
    page = device(PHONE).sign_in("inka").page
    field = page.get_by_label("Code under the square")
    field.focus()
    types(page, "BRING THE", gap=0.11)
    page.get_by_text("A ticket code has 7 characters").wait_for()
    assert field.input_value() == "BRING THE"
    page.goto(f"/T/{boards[0].tickets.get().code}")
    thumb_on_the_button(page)
    types(page, boards[1].tickets.get().code, gap=0.11)
    page.get_by_text("Logged").wait_for()  # that Enter was a person's


def test_a_scan_of_something_else_says_what_it_was(device, boards):
    one = device(PHONE).sign_in("inka")
    one.page.get_by_role("heading", name="Next for you").click()
    scans(one.page, "LOT 4711")
    one.page.get_by_text("That was no ticket: it says “LOT 4711”.").wait_for()
    one.look("wedge-other")


def test_the_device_judges_codes_as_the_server_does(device, boards):
    good = [new_code() for _ in range(300)]
    codes = good + [code[:5] + code[6] + code[5] for code in good] + ["O000000", "000000", ""]
    page = device(PHONE).sign_in("inka").page
    found = page.evaluate(
        """async codes => { const { isCode } = await import("/static/js/scan/code.js");
        return codes.map(isCode); }""",
        codes,
    )
    assert found == [is_code(code) for code in codes]
    assert {True, False} <= set(found[300:])


def is_code(text):
    try:
        return read_code(text) == text
    except ValueError:
        return False


def test_a_tablet_put_in_a_bay_shows_what_waits_there(device, shop, boards):
    shared, desk = device(TABLET), device(DESK).sign_in("mara")
    page = shared.sign_in("mara").page
    page.goto("/tablets/")
    page.get_by_label("Name of this tablet").fill("Tablet two")
    page.get_by_role("button", name="Make it a shared tablet").click()
    page.wait_for_url("**/who/")
    desk.page.goto("/devices/")
    desk.page.get_by_label("Tablet two stands in").select_option("Glassing")
    desk.page.get_by_role("button", name="Save").click()
    desk.page.get_by_text("Tablet two stands in Glassing now.").wait_for()
    desk.look("devices")
    assert BayTablet.objects.get().tablet == Tablet.objects.get()
    page.get_by_role("link", name="Inka").click()
    for digit in PIN:
        page.get_by_role("button", name=digit, exact=True).click()
    page.get_by_role("button", name="OK").click()
    page.get_by_role("heading", name="Waiting at Glassing").wait_for()
    page.get_by_text("Nothing waits here.").wait_for()
    shared.look("bound-tablet")
