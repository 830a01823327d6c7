"""The wall screen of a bay: on a television, an old tablet and a phone, left alone for hours."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from orders.customers.models import CustomerKind
from stages.log.fold import Kind
from stages.outside.actions import make_manifest, send_out, set_bay
from stages.outside.queries import forget_outside_stages
from stages.routes.models import Bay
from tests.browser.conftest import PHONE, SCREENS, TABLET

pytestmark = pytest.mark.browser
TELEVISION = (1920, 1080)
SIZES = {"phone": PHONE, "tablet": TABLET, "television": TELEVISION}


@pytest.fixture
def glassing(shop):
    """Boards that wait, one in hand, one held, one resting, one late."""
    now = timezone.now()
    start, today = now - timedelta(days=9), timezone.localdate()
    boards = []
    for days in (4, -3, 6, 9, 12):
        board = shop.released(
            at=start, promised_on=today + timedelta(days=days), box_kind="two_plug"
        )
        shop.worked(board, until="Glassing", start=start)
        boards.append(board)
    shop.log(boards[0], Kind.TAKEN, shop.bo, now - timedelta(minutes=42))
    shop.log(boards[2], Kind.HELD, shop.mara, now, payload={"reason": "waiting for cloth"})
    shop.log(boards[3], Kind.TAKEN, shop.bo, now - timedelta(hours=3))
    shop.log(boards[3], Kind.FINISHED, shop.bo, now - timedelta(hours=2))
    return Bay.objects.get(name="Glassing"), boards


def crowd(shop, number: int) -> None:
    start = timezone.now() - timedelta(days=9)
    for _ in range(number):
        shop.worked(shop.released(at=start, box_kind="two_plug"), until="Glassing", start=start)


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_the_wall_stands_on_every_screen_and_nothing_scrolls(device, shop, glassing, size, scheme):
    bay, boards = glassing
    one = device(size, color_scheme=scheme).known("mara")
    one.page.goto(f"/wall/{bay.pk}/")
    one.page.get_by_text(re.compile(r"4[2-9] min")).wait_for()  # since it was made ready
    assert "Bo" in one.page.locator(".is-in_hand").inner_text()
    assert "3 days late" in one.page.locator(".is-waiting.is-late").text_content()
    assert "14 h" in one.page.locator(".is-resting").text_content()
    high = one.page.evaluate("document.documentElement.scrollHeight - innerHeight")
    assert high <= 0
    one.look(f"wall-{scheme}")


def test_words_are_large_enough_for_four_metres_on_a_television(device, shop, glassing):
    """A 43-inch screen is 53 cm high; 2 cm of capital, 0.73 of the letters' size, for 4 m."""
    bay, boards = glassing
    shop.rider.kind, shop.rider.name = CustomerKind.LABEL, "Half Fathom"
    shop.rider.save()
    payload = {"reason": "fin boxes are not in stock"}
    shop.log(boards[4], Kind.HELD, shop.mara, timezone.now(), payload=payload)
    one = device(TELEVISION).known("mara")
    one.page.goto(f"/wall/{bay.pk}/")
    one.page.locator(".tile-says").first.wait_for()
    drawn = one.page.eval_on_selector_all(".lying", "all => all.map(one => one.clientWidth)")
    assert min(drawn) > 200, "a board is drawn whole beside its number"
    sizes = one.page.eval_on_selector_all(
        ".tile p, .tile-number",
        "all => all.map(one => parseFloat(getComputedStyle(one).fontSize))",
    )
    screen_cm, high_px, capital = 53.0, 1080, 0.73
    smallest_cm = min(sizes) / high_px * screen_cm * capital
    assert smallest_cm >= 2.0
    cut = one.page.eval_on_selector_all(
        ".tile p, .tile-number",
        "all => all.filter(o => o.scrollWidth > o.clientWidth + 1"
        " || o.matches('.is-held .tile-says') && o.scrollHeight > o.clientHeight + 1)"
        ".map(o => o.textContent)",
    )
    assert not cut, f"cut off: {cut}"


def test_it_shows_what_moved_without_being_loaded_again(device, shop, glassing):
    bay, boards = glassing
    one = device(TELEVISION).known("mara")
    page = one.page
    page.goto(f"/wall/{bay.pk}/")
    page.evaluate("window.stayed = true")
    late = page.locator(f'[data-board="{boards[1].number}"]')
    assert "to take" in late.inner_text()
    shop.log(boards[1], Kind.HELD, shop.mara, timezone.now(), payload={"reason": "a soft spot"})
    page.get_by_text("a soft spot").wait_for()
    assert page.evaluate("window.stayed") is True


def test_more_boards_than_fit_turn_over_by_themselves(device, shop, glassing):
    bay, boards = glassing
    crowd(shop, 7)
    one = device(TELEVISION).known("mara")
    page = one.page
    page.clock.install()
    page.goto(f"/wall/{bay.pk}/")
    page.get_by_text("1 of 2").wait_for()
    visible = "all => all.filter(one => one.offsetParent).map(one => one.dataset.board)"
    first = page.eval_on_selector_all(".tile", visible)
    page.clock.run_for(10_500)
    page.get_by_text("2 of 2").wait_for()
    second = page.eval_on_selector_all(".tile", visible)
    assert not set(first) & set(second)
    assert len(first) + len(second) == 12
    page.clock.run_for(10_000)
    page.get_by_text("1 of 2").wait_for()


@pytest.mark.parametrize("trouble", ["no answer", "an error"])
def test_with_no_signal_the_last_boards_stay_and_it_says_since_when(
    device, shop, glassing, trouble
):
    bay, _ = glassing
    one = device(TELEVISION).known("mara")
    page = one.page
    page.clock.install()
    page.goto(f"/wall/{bay.pk}/")
    boards = page.locator(".tile").count()
    page.route(
        "**/boards/**",
        lambda route: (
            route.abort()
            if trouble == "no answer"
            else route.fulfill(status=500, body="<html><body>Something broke</body></html>")
        ),
    )
    page.clock.run_for(60_000)
    page.locator("#wall-silent").wait_for(state="visible")
    assert page.locator("#wall-silent").inner_text().startswith("No signal since ")
    assert page.locator(".tile").count() == boards
    page.unroute("**/boards/**")
    page.clock.run_for(16_000)
    page.locator("#wall-silent").wait_for(state="hidden")
    page.goto("about:blank")
    assert all("fetch" in said or "ERR_FAILED" in said or "500" in said for said in one.complaints)
    one.complaints.clear()


def test_it_says_when_it_cannot_keep_the_screen_awake(device, shop, glassing):
    bay, _ = glassing
    one = device(TELEVISION).known("mara")
    one.context.add_init_script("delete Navigator.prototype.wakeLock")
    one.page.goto(f"/wall/{bay.pk}/")
    one.page.get_by_text("This screen may fall asleep").wait_for()


def test_the_manifest_is_sent_and_taken_back_on_a_phone(device, shop, glassing):
    bay, boards = glassing
    set_bay(bay=bay, outside=True, address="Kaiveien 4")
    forget_outside_stages()
    today = timezone.localdate()
    manifest = make_manifest(
        bay=bay, boards=[boards[1], boards[4]], due_on=today + timedelta(days=5), note="",
        by=shop.bo, at=timezone.now(),
    )  # fmt: skip
    one = device(PHONE).known("bo")
    page = one.page
    page.goto("/outside/")
    one.look("outside")
    page.goto(f"/M/{manifest.code}")
    one.look("manifest-to-send")
    page.get_by_role("button", name="Send all 2 to Glassing").click()
    page.get_by_text("2 gone to Glassing").wait_for()
    one.look("manifest-away")
    page.goto(f"/T/{boards[4].tickets.get().code}")
    one.look("ticket-away")
    page.goto(f"/M/{manifest.code}")
    page.get_by_role("radio", name="Not done").nth(1).check()
    page.get_by_role("button", name="Log them back").click()
    page.get_by_text("2 back from Glassing").wait_for()
    assert send_out(manifest=manifest, by=shop.bo, at=timezone.now()) == 0
    one.look("manifest-back")
