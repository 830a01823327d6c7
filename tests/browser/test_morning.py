"""The morning page on every screen, and a board put first from it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from orders.orderbook.models import Board
from stages.forecast.models import ForecastKept
from stages.log.fold import Kind
from stages.morning.keeper import keep_once
from tests.browser.conftest import DESK, PHONE, SCREENS

pytestmark = pytest.mark.browser


@pytest.fixture
def morning(shop):
    """One late and held, eight promised for tomorrow, two orders; kept by the keeper."""
    now = timezone.now()
    start, tomorrow = now - timedelta(days=2), timezone.localdate() + timedelta(days=1)
    late = shop.released(at=start, promised_on=timezone.localdate() - timedelta(days=2))
    shop.log(late, Kind.HELD, shop.mara, now, payload={"reason": "waiting for cloth"})
    boards = [shop.released(at=start, promised_on=tomorrow) for _ in range(8)]
    for _ in range(2):
        shop.ordered(promised_on=tomorrow + timedelta(days=200))
    keep_once(now=timezone.now())
    return boards


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_the_morning_stands_on_every_screen(device, morning, size, scheme):
    one = device(size, color_scheme=scheme).known("mara")
    one.page.goto("/morning/")
    assert "promises in danger, 1 board late already" in (
        one.page.locator(".morning-says").inner_text()
    )
    for line in one.page.locator(".today summary").all():
        line.click()
    one.look(f"morning-{scheme}")
    if size == PHONE:  # the seven rooms open from one button there
        one.page.get_by_role("button", name="Menu").press("Enter")
        one.look(f"morning-rooms-{scheme}")
    one.page.get_by_role("link", name="Floor", exact=True).click()
    assert "in danger" in one.page.locator(".slot.is-endangered .under").first.inner_text()
    one.look(f"morning-floor-{scheme}")


def test_a_board_is_asked_for_put_first_and_let_wait_its_turn_by_keyboard(device, morning):
    ForecastKept.objects.all().delete()  # worked out on the spot: what would help is asked for
    last = morning[-1]
    one = device(DESK).known("mara")
    page = one.page
    page.goto("/morning/")
    board = page.locator(f"#board-{last.number}")
    board.get_by_role("link", name="What if it goes first?").press("Enter")
    board.locator(".ahead").wait_for()
    one.look("morning-ahead")
    board.get_by_role("button", name="Put it first").press("Enter")
    page.get_by_text(f"Board {last.number} is first in line in every bay.").wait_for()
    assert Board.objects.get(pk=last.pk).first_in_line
    page.locator(".today summary", has_text="first in line").click()
    page.locator(".today").get_by_role("button", name="Let it wait its turn").press("Enter")
    page.get_by_text(f"Board {last.number} waits its turn again.").wait_for()
    assert not Board.objects.get(pk=last.pk).first_in_line


def test_a_newer_answer_is_offered_and_nothing_moves_under_the_reader(device, shop, morning):
    one = device(DESK).known("mara")
    page = one.page
    shop.log(morning[0], Kind.TAKEN, shop.inka, timezone.now())
    page.goto("/morning/")
    assert "Something has changed since then" in page.locator("#moved").inner_text()
    keep_once(now=timezone.now())
    page.get_by_role("link", name="Show it").click()
    page.wait_for_function("() => !document.querySelector('#moved')")
    assert page.url.endswith("/morning/")
