"""The bay's page under a glove: double taps, no signal, no answer, a tablet left alone."""

import pytest

from stages.log.fold import Kind
from stages.log.models import Entry, Position
from tests.browser.conftest import PHONE, SCREENS, TABLET
from tests.world import PIN

pytestmark = pytest.mark.browser


@pytest.fixture
def board(shop):
    return shop.released(
        art="Deck inlay in sea-green cloth from 10 inches under the nose to the front fins",
        bay_notes="Keep the rail soft from the wide point to the front fins",
        colour="Resin tint, sea green fading to clear, with a 1/4 in grey pinline and cut laps",
    )


@pytest.fixture
def ticket(board):
    return f"/T/{board.tickets.get().code}"


def kinds(board):
    return list(Entry.objects.filter(board=board).values_list("kind", flat=True))


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_the_ticket_and_the_scan_page_stand_on_every_screen(device, ticket, size, scheme):
    one = device(size, color_scheme=scheme).known("inka")
    one.page.goto(ticket)
    one.look(f"ticket-{scheme}")
    button = one.page.get_by_role("button", name="Take in hand").bounding_box()
    assert button["height"] >= 76
    assert button["y"] + button["height"] <= size[1]
    one.page.get_by_text("Something wrong").click()
    one.look(f"ticket-wrong-{scheme}")
    one.page.goto("/scan/")
    one.look(f"scan-{scheme}")


# What lies under the finger in the moment in which the acknowledgement appears.
COVERED = """([x, y]) => {
  new MutationObserver(() => {
    if (document.querySelector(".flash"))
      window.covered ??= document.elementFromPoint(x, y).className;
  }).observe(document.body, { childList: true, subtree: true });
}"""


def test_a_double_tap_takes_the_board_and_does_not_finish_it(device, board, ticket):
    one = device(PHONE).known("inka")
    one.page.goto(ticket)
    box = one.page.get_by_role("button", name="Take in hand").bounding_box()
    there = [box["x"] + 50, box["y"] + 20]
    one.page.evaluate(COVERED, there)
    one.page.mouse.dblclick(*there)
    # Once it is logged the page is covered, for longer than a finger takes to tap again.
    one.page.wait_for_function("() => window.covered")
    assert one.page.evaluate("window.covered") == "flash"
    one.page.get_by_text("Logged").wait_for()
    one.page.locator(".flash").wait_for(state="detached")
    one.page.locator("[data-outbox]").wait_for(state="hidden")  # a second tap would wait there
    assert kinds(board) == [Kind.RELEASED, Kind.TAKEN]


def test_without_signal_the_tap_is_kept_and_sent_once_when_it_returns(device, board, ticket):
    one = device(PHONE, keeps_pages=True).known("inka")
    page = one.page
    page.goto(ticket)
    page.wait_for_load_state("networkidle")
    one.context.set_offline(True)
    page.get_by_role("button", name="Take in hand").click()
    page.get_by_text("1 waiting to send").wait_for()
    page.get_by_text("Kept on this device").wait_for()
    page.get_by_role("button", name="Finish", exact=True).wait_for()
    assert kinds(board) == [Kind.RELEASED]
    sent = []
    page.on("request", lambda asked: sent.append(asked.url) if "/batch/" in asked.url else None)
    one.context.set_offline(False)
    page.get_by_text("Logged").wait_for()
    page.get_by_text("waiting to send").wait_for(state="hidden")
    assert kinds(board) == [Kind.RELEASED, Kind.TAKEN]
    assert len(sent) == 1
    one.complaints.clear()  # Chromium reports the lost signal


def test_an_answer_that_got_lost_does_not_log_the_tap_twice(device, board, ticket):
    one = device(PHONE).known("inka")
    page = one.page
    page.goto(ticket)

    lost, losing = [], True

    def lose_the_answer(route):
        if not losing:
            route.continue_()
            return
        lost.append(route.fetch(max_redirects=0))
        route.abort()

    page.route("**/scan/batch/", lose_the_answer)
    page.get_by_role("button", name="Take in hand").click()
    page.get_by_text("1 waiting to send").click()
    page.get_by_text("No signal.").wait_for()
    assert kinds(board) == [Kind.RELEASED, Kind.TAKEN]
    with page.expect_event("requestfailed"):
        page.get_by_role("button", name="Try now").click()
    assert len(lost) > 1
    losing = False
    page.get_by_text("Logged").wait_for()
    assert kinds(board) == [Kind.RELEASED, Kind.TAKEN]
    one.complaints.clear()


def test_a_tap_is_undone_within_the_minute(device, board, ticket):
    one = device(PHONE).known("inka")
    one.page.goto(ticket)
    one.page.get_by_role("button", name="Take in hand").click()
    one.page.get_by_text("Logged").wait_for()
    one.look("undo")
    one.page.locator("[data-flash]").wait_for(state="detached")
    one.page.get_by_role("button", name="Undo").click()
    one.page.get_by_role("button", name="Take in hand").wait_for()
    one.page.get_by_text("undone").last.wait_for()
    one.page.get_by_text("waiting to send").wait_for(state="hidden")
    assert kinds(board) == [Kind.RELEASED, Kind.TAKEN, Kind.UNDONE]
    assert Position.objects.get(board=board).holder is None


def test_who_has_it_is_told_to_the_one_who_comes_second(device, board, ticket):
    first, second = device(PHONE).known("inka"), device(PHONE).known("mara")
    first.page.goto(ticket)
    second.page.goto(ticket)
    first.page.get_by_role("button", name="Take in hand").click()
    first.page.get_by_text("Logged").wait_for()
    second.page.get_by_role("button", name="Take in hand").click()
    second.page.get_by_role("alert").get_by_text("Ask Inka to put it down first").wait_for()
    assert kinds(board) == [Kind.RELEASED, Kind.TAKEN]
    second.look("second")


def test_the_page_works_without_script(device, board, ticket):
    one = device(PHONE, java_script_enabled=False).known("inka")
    one.page.goto(ticket)
    one.page.get_by_role("button", name="Take in hand").click()
    one.page.get_by_text("Logged").wait_for()
    assert Position.objects.get(board=board).holder.username == "inka"


def test_a_tablet_left_alone_goes_back_to_the_names_and_keeps_the_board(device, shop, ticket):
    shared = device(TABLET, has_touch=True)
    page = shared.page
    shared.known("mara")
    page.goto("/tablets/")
    page.get_by_label("Name of this tablet").fill("Shaping bay")
    page.get_by_role("button", name="Make it a shared tablet").click()
    page.wait_for_url("**/who/")
    page.clock.install()
    page.goto(ticket)
    page.get_by_role("link", name="Inka").click()
    for digit in PIN:
        page.get_by_role("button", name=digit, exact=True).click()
    page.get_by_role("button", name="OK").click()
    page.get_by_role("button", name="Done, forget me").wait_for()
    page.clock.fast_forward(110_000)
    page.get_by_text("You are forgotten in").wait_for()
    page.clock.fast_forward(12_000)
    page.wait_for_url(f"**/who/?next={ticket.replace('/', '%2F')}")
