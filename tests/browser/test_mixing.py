"""A pot under a glove: dosed, counted down through reloads and no signal, poured and logged."""

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from stages.log.fold import Kind
from stages.log.models import Entry, Position
from tests.browser.conftest import PHONE, SCREENS, TABLET
from tests.resins import drum_polyester
from tests.waiting import wait_until

pytestmark = pytest.mark.django_db(transaction=True)

# What a person hears and feels, counted.
SENSES = """
window.heard = [];
const start = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (...when) {
  window.heard.push(this.frequency.value);
  return start.apply(this, when);
};
window.shaken = 0;
navigator.vibrate = () => (window.shaken += 1) > 0;
"""


@pytest.fixture
def polyester(shop):
    return drum_polyester(shop.mara)


@pytest.fixture
def to_glass(shop):
    def made(*, in_hand=True, **spec):
        board = shop.released(**spec)
        at = shop.worked(board, until="Glassing")
        if in_hand:
            rest = Position.objects.get(board=board).rests_until
            shop.log(board, Kind.TAKEN, shop.bo, max(at, rest or at) + timedelta(minutes=1))
        return board

    return made


@pytest.fixture
def bench(device):
    def opened(board, size=PHONE, *, timed=False, **options):
        one = device(size, **options).sign_in("bo")
        one.page.add_init_script(SENSES)
        if timed:
            one.page.clock.install()
        one.page.goto(f"/T/{code_of(board)}")
        one.page.get_by_role("button", name="The hardener is in").wait_for()
        return one

    return opened


def code_of(board):
    return board.tickets.get(voided_at=None).code


def warm(page, celsius):
    page.locator("[data-celsius]").fill(str(celsius))


def value(page, name):
    return page.locator(f"[data-mix] [name={name}]").input_value()


def start(page):
    page.get_by_role("button", name="The hardener is in").click()
    page.locator("dialog.pots[open]").wait_for()


def left(page):
    return page.locator(".pot-left").first.inner_text()


def mixes():
    return list(Entry.objects.filter(kind=Kind.MIXED).order_by("pk"))


def wait_for_mixes(page, count):
    wait_until(lambda: len(mixes()) >= count, "the mix was not logged", page=page)
    assert len(found := mixes()) == count
    return found


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_card_and_time_stand_on_every_screen(to_glass, polyester, bench, size, scheme):
    board = to_glass()
    to_glass(in_hand=False)
    one = bench(board, size, color_scheme=scheme, timed=True)
    page = one.page
    warm(page, 19)
    one.look(f"glassing-card-{scheme}")
    for target in page.locator("[data-mix] :is(button, input:not([type=hidden])):visible").all():
        assert target.bounding_box()["height"] >= 48
    assert page.locator("[data-go]").bounding_box()["height"] >= 90
    start(page)
    figures = page.locator(".pot-left").first
    assert figures.bounding_box()["height"] >= 90
    one.look(f"pot-{scheme}")
    page.clock.fast_forward("11:00")
    expect(page.locator("dialog.pots")).to_have_attribute("data-level", "two")
    page.clock.run_for(2000)
    one.look(f"pot-two-{scheme}")
    page.clock.fast_forward("03:00")
    expect(page.locator("dialog.pots")).to_have_attribute("data-level", "over")
    page.clock.run_for(2000)
    one.look(f"pot-over-{scheme}")
    page.get_by_role("button", name="Poured").click()
    page.get_by_role("button", name="Back to the board").click()
    page.clock.run_for(2000)
    one.look(f"pot-bar-{scheme}")


def test_grams_follow_temperature_coat_and_boards_by_the_servers_table(to_glass, polyester, bench):
    board, other = to_glass(), to_glass()
    page = bench(board).page
    warm(page, 18)
    resin, two = float(value(page, "resin_g")), float(value(page, "hardener_g"))
    # 2 ml to 100 g, at 1.13 g/ml.
    assert two == pytest.approx(resin * 0.02 * 1.13, abs=0.1)
    warm(page, 24)
    assert float(value(page, "hardener_g")) == pytest.approx(resin * 0.01 * 1.13, rel=0.05)
    page.locator(f"[data-share][data-number='{other.number}']").check()
    # Twice as much is more than one pot holds safely: each of two has what one board takes.
    expect(page.locator("[data-pots]")).to_contain_text("2 pots")
    assert float(value(page, "resin_g")) == pytest.approx(resin, rel=0.03)
    page.locator("[name=coat][value='Lamination, deck']").check()
    expect(page.locator("[data-pots]")).to_contain_text("pots, one after the other")
    assert float(value(page, "resin_g")) <= polyester.pot_safe_g
    warm(page, 9.5)
    expect(page.locator("[data-note]")).to_contain_text("9.5 °C is too cold: warm the room")
    warm(page, 12)
    expect(page.locator("[data-note]")).to_contain_text("too cold")
    assert value(page, "resin_g") == ""


def test_a_pot_warns_at_half_at_two_minutes_and_at_the_end_and_is_logged_when_poured(
    to_glass, polyester, bench
):
    board = to_glass()
    page = bench(board, timed=True).page
    warm(page, 19)  # 15 min in the cup, 12.5 at the earliest
    page.locator("[name=resin_batch]").fill("P-118")
    page.locator("[name=hardener_batch]").fill("C-7")
    page.locator("[data-mix]").get_by_label("Resin, g").click()
    grams = value(page, "resin_g")
    start(page)
    assert left(page).startswith("12:") and len(mixes()) == 0
    says = page.locator(".pot-says")
    expect(says).to_have_text("Work on")
    tones = 0
    for ahead, words, level in (
        ("06:20", "Half the time is gone", "half"),
        ("04:20", "Two minutes and less", "two"),
        ("02:00", "Time is up: it may go off now", "over"),
    ):
        page.clock.fast_forward(ahead)
        expect(says).to_have_text(words)
        expect(page.locator("dialog.pots")).to_have_attribute("data-level", level)
        expect(page.locator("dialog.pots .flash")).to_be_visible()
        heard = page.evaluate("window.heard.length")
        assert heard > tones, f"{words} was not heard"
        tones = heard
        page.clock.run_for(1500)
    assert page.evaluate("window.shaken") >= 3
    assert left(page).startswith("+0:")
    page.get_by_role("button", name="Poured").dblclick()
    page.clock.run_for(2000)
    (entry,) = wait_for_mixes(page, 1)
    page.locator("[data-outbox]").wait_for(state="hidden")  # a second one would wait there
    assert len(mixes()) == 1
    told = entry.payload
    assert (told["resin_batch"], told["hardener_batch"]) == ("P-118", "C-7")
    assert (told["resin_g"], told["temperature_c"], told["percent"]) == (float(grams), 19, 2)
    assert told["working_s"] == pytest.approx(12.5 * 60, abs=2)
    assert (told["coat"], told["boards"]) == ("Lamination, bottom", 1)
    assert entry.by.username == "bo" and entry.step == Position.objects.get().folded["index"]


def test_a_reload_a_closed_tab_and_a_locked_screen_change_nothing_about_the_time(
    to_glass, polyester, bench
):
    board = to_glass()
    one = bench(board, timed=True)
    page = one.page
    warm(page, 19)
    start(page)
    page.reload()
    page.locator("dialog.pots[open]").wait_for()
    assert left(page)[:3] in ("12:", "11:")
    page.close()
    again = one.context.new_page()
    again.add_init_script(SENSES)
    again.clock.install()
    again.goto("/scan/")  # any page of the bay, and a minute was lost by nobody
    again.locator("dialog.pots[open]").wait_for()
    assert left(again)[:3] in ("12:", "11:")
    again.clock.pause_at(again.evaluate("Date.now() + 1000"))
    again.clock.fast_forward("20:00")  # nothing ran meanwhile
    expect(again.locator(".pot-says")).to_contain_text("Time is up")
    again.get_by_role("button", name="Not used").click()
    again.get_by_role("button", name="log nothing").click()
    expect(again.locator("dialog.pots")).not_to_be_visible()
    assert mixes() == []


def in_hands_of_nobody(*boards):
    return all(not Position.objects.get(board=board).holder for board in boards)


def test_one_pot_for_two_boards_takes_both_in_hand_and_lets_them_go_or_is_logged_with_both(
    to_glass, polyester, bench
):
    board, waits = to_glass(in_hand=False), to_glass(in_hand=False)
    page = bench(board).page
    warm(page, 19)
    share = page.locator(f"[data-share][data-number='{waits.number}']")
    share.check()
    start(page)
    wait_until(lambda: not in_hands_of_nobody(board, waits), "nothing was taken", page=page)
    page.get_by_role("button", name="Not used").click()
    page.get_by_role("button", name="log nothing").click()
    wait_until(lambda: in_hands_of_nobody(board, waits), "a board stayed in hand", page=page)
    for one in (board, waits):
        assert not Position.objects.get(board=one).folded["steps"][2].get("taken_at")
    page.reload()
    expect(page.locator("[name=coat]:checked")).to_have_value("Lamination, bottom")
    warm(page, 19)
    share.check()
    start(page)
    page.get_by_role("button", name="Poured").click()
    one, other = wait_for_mixes(page, 2)
    assert {one.board, other.board} == {board, waits}
    assert one.payload["pot"] == other.payload["pot"]
    assert one.payload["boards"] == 2
    poured = one.payload["resin_g"] + one.payload["hardener_g"]
    assert one.payload["share_g"] + other.payload["share_g"] == pytest.approx(poured, abs=1.5)
    assert Position.objects.get(board=waits).holder.username == "bo"


def test_several_pots_count_beside_each_other(to_glass, polyester, bench):
    board = to_glass()
    one = bench(board)
    page = one.page
    warm(page, 19)
    start(page)
    page.get_by_role("button", name="Back to the board").click()
    page.reload()
    page.get_by_role("button", name="Back to the board").click()
    # The next coat is offered, the drums and the temperature stand as they were.
    expect(page.locator("[name=coat]:checked")).to_have_value("Lamination, deck")
    assert value(page, "temperature_c") == "19"
    expect(page.locator("form[data-busy]")).to_have_count(0)  # a double tap is one pot
    start(page)
    expect(page.locator(".pot")).to_have_count(2)
    one.look("pots-two")
    page.locator(".pot").nth(1).get_by_role("button", name="Poured").click()
    (entry,) = wait_for_mixes(page, 1)
    assert entry.payload["coat"] == "Lamination, deck"


def test_no_cup_test_means_counting_up_and_saying_so(to_glass, bench):
    page = bench(to_glass(), timed=True).page
    expect(page.locator("[data-time]")).to_contain_text("not known")
    start(page)
    page.clock.fast_forward("03:05")
    expect(page.locator(".pot-left")).to_contain_text("+3:0")
    expect(page.locator(".pot")).to_contain_text("counting up")


def test_a_dose_that_is_not_the_tables_has_no_time(to_glass, polyester, bench):
    page = bench(to_glass()).page
    warm(page, 19)
    page.locator("[data-hardener]").fill("7")
    start(page)
    expect(page.locator(".pot")).to_contain_text("not the dose of the table")
    page.get_by_role("button", name="Poured").click()
    (entry,) = wait_for_mixes(page, 1)
    assert entry.payload["hardener_g"] == 7
    assert "percent" not in entry.payload and "working_s" not in entry.payload


def test_without_signal_it_is_dosed_counted_poured_and_sent_later(to_glass, polyester, bench):
    board = to_glass()
    one = bench(board, keeps_pages=True)
    page = one.page
    kept = "async (path) => Boolean(await caches.match(path)) && navigator.serviceWorker.controller"
    path = f"/T/{code_of(board)}"
    wait_until(
        lambda: page.evaluate(f"({kept})('{path}').then(Boolean)"), f"{path} is not kept", page=page
    )
    one.context.set_offline(True)
    page.reload()
    warm(page, 17)
    assert float(value(page, "hardener_g")) > 0
    start(page)
    page.reload()
    page.locator("dialog.pots[open]").wait_for()
    page.get_by_role("button", name="Poured").click()
    page.get_by_text("1 waiting to send").wait_for(state="attached")
    assert mixes() == []
    one.context.set_offline(False)
    (entry,) = wait_for_mixes(page, 1)
    assert entry.payload["temperature_c"] == 17
    one.complaints.clear()  # a failed fetch while there was no signal is what this is about


def test_without_script_the_form_logs_the_mix_as_typed(to_glass, polyester, device):
    board = to_glass()
    one = device(PHONE, java_script_enabled=False)
    page = one.page
    page.goto("/sign-in/")
    page.get_by_label("Username").fill("bo")
    page.get_by_label("Password").fill("foam and resin")
    page.get_by_role("button", name="Sign in").click()
    page.goto(f"/T/{code_of(board)}")
    page.get_by_role("button", name="Log the mix").click()
    page.get_by_text("Logged").first.wait_for()
    (entry,) = mixes()
    assert entry.payload["resin"] == "Drum polyester" and entry.payload["resin_g"] > 0


def test_the_names_of_a_tablet_that_forgot_who_mixed_show_the_time_too(
    to_glass, polyester, device
):
    board = to_glass()
    one = device(TABLET).sign_in("mara")
    page = one.page
    page.goto("/tablets/")
    page.get_by_label("Name of this tablet").fill("Glassing tablet")
    page.get_by_role("button", name="Make it a shared tablet").click()
    one.context.clear_cookies(name="sessionid")
    one.sign_in("bo")
    page.goto(f"/T/{code_of(board)}")
    warm(page, 19)
    start(page)
    one.context.clear_cookies(name="sessionid")
    page.goto("/who/")
    page.locator("dialog.pots[open]").wait_for()
    page.get_by_role("button", name="Poured").click()
    wait_for_mixes(page, 1)
