"""The floor screen on a wall, a tablet and a phone: keys, fresh racks, and a silent server."""

from datetime import timedelta

import pytest
from django.utils import timezone

from stages.log.fold import Kind
from tests.browser.conftest import DESK, SCREENS

pytestmark = pytest.mark.browser


@pytest.fixture
def floor(shop):
    """A board in hand, one held, one late, two waiting, one ready."""
    now = timezone.now()
    today = timezone.localdate()
    start = now - timedelta(days=12)
    boards = [
        shop.released(at=start, promised_on=today + timedelta(days=days)) for days in (3, 5, -2, 9)
    ]
    shop.log(boards[0], Kind.TAKEN, shop.inka, now - timedelta(minutes=12))
    shop.log(boards[1], Kind.HELD, shop.mara, now, payload={"reason": "waiting for cloth"})
    ready = shop.released(at=start)
    shop.worked(ready, until="rack", start=start)
    return boards


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_the_floor_stands_on_every_screen(device, floor, size, scheme):
    one = device(size, color_scheme=scheme).known("mara")
    one.page.goto("/floor/")
    assert "2 days late" in one.page.locator(".slot.is-late .under").inner_text()
    one.look(f"floor-{scheme}")


def test_arrows_walk_along_a_rack_and_a_board_says_what_it_is(device, floor):
    one = device(DESK).known("mara")
    page = one.page
    page.goto("/floor/")
    page.locator(".slot").first.focus()
    assert page.locator("#pointed").inner_text().startswith(f"{floor[0].number}, 6'2\" squash")
    page.keyboard.press("ArrowRight")
    focused = page.evaluate("document.activeElement.dataset.board")
    assert focused == str(floor[2].number)  # the late one stands first among those that wait
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/boards/{floor[2].number}/")


def test_the_screen_shows_what_moved_and_keeps_the_focus_where_it_was(device, shop, floor):
    one = device(DESK).known("mara")
    page = one.page
    page.goto("/floor/")
    page.locator(f'[data-board="{floor[3].number}"]').focus()
    shop.log(floor[3], Kind.HELD, shop.mara, timezone.now(), payload={"reason": "wrong fin box"})
    page.get_by_text("Held: wrong fin box").wait_for()
    assert page.evaluate("document.activeElement.dataset.board") == str(floor[3].number)


@pytest.mark.parametrize("trouble", ["no answer", "an error"])
def test_a_screen_that_gets_no_racks_keeps_the_old_ones_and_says_so(device, floor, trouble):
    one = device(DESK).known("mara")
    page = one.page
    page.clock.install()
    page.goto("/floor/")
    boards = page.locator(".slot").count()
    page.route(
        "**/floor/racks/**",
        lambda route: route.abort()
        if trouble == "no answer"
        else route.fulfill(status=500, body="<html><body>Something broke</body></html>"),
    )
    assert not page.locator("#floor-old").is_visible()
    page.clock.run_for(60_000)
    page.locator("#floor-old").wait_for(state="visible")
    assert page.locator(".slot").count() == boards
    page.goto("about:blank")
    assert all("fetch" in said or "ERR_FAILED" in said or "500" in said for said in one.complaints)
    one.complaints.clear()  # the console says what this test did on purpose
