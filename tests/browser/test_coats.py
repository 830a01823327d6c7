"""The coats on the glassing card under a glove: the main button, the states, the finish."""

import pytest
from playwright.sync_api import expect

from stages.log.models import Position
from tests.browser import test_mixing
from tests.browser.test_mixing import start, wait_for_mixes, warm

pytestmark = pytest.mark.django_db(transaction=True)
polyester, to_glass, bench = test_mixing.polyester, test_mixing.to_glass, test_mixing.bench
BOTTOM, DECK = "Lamination, bottom", "Lamination, deck"


# What was logged before is on the server now: its page comes in place of this one.
SERVERS_PAGE = """() => {
  document.querySelector("main").dataset.old = "yes";
  const { code: ticket, number } = document.querySelector("[data-bay]").dataset;
  const intent = { ref: crypto.randomUUID(), ticket, number, kind: "noted", fields: [] };
  document.dispatchEvent(
    new CustomEvent("outbox:settled", { detail: { intent, verdict: "accepted", sentence: "" } }),
  );
}"""


def state(page, coat):
    return page.locator(f"[name=coat][value='{coat}'] + span [data-coat-state]")


def test_a_coat_goes_from_open_to_the_cup_to_poured_and_the_finish_asks_once(
    to_glass, polyester, bench
):
    board = to_glass()
    one = bench(board)
    page = one.page
    go = page.get_by_role("button", name="The hardener is in")
    page.locator("[name=resin_batch]").fill("P-118")
    page.locator("[data-resin]").fill("200")
    page.locator("[data-resin]").blur()
    page.evaluate(SERVERS_PAGE)
    expect(page.locator("main[data-old]")).to_have_count(0)
    expect(go).to_be_visible()
    expect(page.locator("[name=resin_batch]")).to_have_value("P-118")
    expect(page.locator("[data-resin]")).to_have_value("200")
    page.locator("[data-resin]").fill("")
    warm(page, 19)
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    expect(go).to_be_in_viewport()  # under the thumb, though the card is longer than the screen
    one.look("coats-open", axe=False)
    expect(state(page, BOTTOM)).to_have_text("open")
    start(page)
    expect(state(page, BOTTOM)).to_have_text("in the cup")
    page.get_by_role("button", name="Poured").click()
    wait_for_mixes(page, 1)
    page.get_by_role("button", name="Off the screen").click()
    expect(state(page, BOTTOM)).to_contain_text("poured")
    expect(state(page, DECK)).to_have_text("open")
    page.reload()
    expect(page.locator("[name=coat]:checked")).to_have_value(DECK)
    page.locator(".unfinished summary").click()
    asked = page.locator(".unfinished")
    expect(asked).to_contain_text("lamination, deck, filler coat, bottom, filler coat, deck")
    one.look("coats-finish-asks", axe=False)
    page.get_by_role("button", name="Finish all the same").click()
    page.get_by_text("Logged").first.wait_for()
    folded = Position.objects.get(board=board).folded
    assert folded["steps"][folded["index"] - 1]["coats"] == {BOTTOM: 1}
