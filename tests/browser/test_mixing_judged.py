"""The glassing card stops at what may not be poured, by the server's own judgement."""

import json
from dataclasses import asdict

import pytest
from playwright.sync_api import expect

from orders.glassing.hardener import Epoxy, Polyester, syringe_ml
from orders.glassing.judgement import judge, limits_of
from stages.log.fold import Kind
from stages.log.models import Entry
from tests.browser import test_mixing
from tests.browser.test_mixing import start, wait_for_mixes, warm

pytestmark = pytest.mark.django_db(transaction=True)
polyester, to_glass, bench = test_mixing.polyester, test_mixing.to_glass, test_mixing.bench

JUDGED = """
async (given) => {
  const [{ judge }, { syringe }] = await Promise.all(
    [import(given.judgement), import(given.bench)]);
  return {
    found: given.cases.map(([limits, mix]) => judge(limits, mix)),
    shown: given.ml.map(syringe),
  };
}
"""


def takes_taps_again(page):
    """The second half of a double tap falls on nothing; after that the page listens."""
    expect(page.locator("[data-ignores-taps]")).to_have_count(0)


def modules(page):
    """Where this page got its own two modules from."""
    loaded = page.evaluate("performance.getEntriesByType('resource').map((one) => one.name)")
    return {
        name: next(one for one in loaded if f"/mixing/{name}." in one)
        for name in ("judgement", "bench")
    }


def test_the_device_judges_as_the_server_does(to_glass, polyester, bench):
    page = bench(to_glass()).page
    cases = [
        (limits, {"celsius": celsius, "resin_g": resin_g, "hardener_g": hardener_g})
        for limits in (limits_of(Polyester(), 500.0), limits_of(Epoxy(), 300.0))
        for celsius in (None, 8, 14.9, 15.6, 20, 34.9, 35)
        for resin_g in (None, 0, 120, 240.5, 900)
        for hardener_g in (None, 0, 0.3, 4.7, 12, 53.4, 107, 130)
    ]
    ml = [0.43, 1, 2.96, 3.04, 5.31, 9.9, 14.4, 62.5]
    told = page.evaluate(
        JUDGED,
        {
            **modules(page),
            "cases": [(asdict(limits), mix) for limits, mix in cases],
            "ml": ml,
        },
    )
    for (limits, mix), found in zip(cases, told["found"], strict=True):
        expected = [asdict(one) for one in judge(limits, **mix)]
        assert json.loads(json.dumps(expected)) == found, mix
    assert told["shown"] == [syringe_ml(one) for one in ml]


@pytest.mark.parametrize("signal", [True, False])
def test_a_dose_ten_times_too_large_starts_no_clock_before_it_is_said_twice(
    to_glass, polyester, bench, signal
):
    one = bench(to_glass(), keeps_pages=not signal)
    page = one.page
    warm(page, 18)
    page.locator("[data-resin]").fill("200")
    page.locator("[data-hardener]").fill("45")
    if not signal:
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    one.context.set_offline(not signal)
    go, sure = page.get_by_role("button", name="The hardener is in"), page.locator("[data-sure]")
    go.dblclick()
    stop = page.locator("[data-stop]")
    expect(stop).to_contain_text("19.91 % catalyst is too much")
    expect(stop).to_contain_text("cold water")
    expect(page.locator("dialog.pots")).not_to_be_visible()
    expect(page.locator("[data-time]")).to_contain_text("not known")
    page.locator("[data-hardener]").fill("46")
    page.locator("[data-hardener]").press("Enter")  # is the first button, and confirms nothing
    expect(stop).to_be_visible()
    page.locator("[data-hardener]").fill("46.5")
    expect(stop).not_to_be_visible()  # what was judged no longer stands there
    takes_taps_again(page)
    go.click()
    expect(stop).to_be_visible()
    one.complaints.clear()  # Chromium reports the lost signal
    one.look(f"mix-stopped-{'online' if signal else 'offline'}")
    takes_taps_again(page)
    sure.click()
    page.locator("dialog.pots[open]").wait_for()
    expect(page.locator(".pot")).to_contain_text("not the dose of the table")
    expect(page.locator(".pot .notice")).to_contain_text("cold water")
    expect(page.locator(".pot-says")).to_have_text("")  # no "Work on" beside a cup that runs hot
    page.get_by_role("button", name="Poured").click()
    page.get_by_text("Poured, logged").wait_for()
    one.context.set_offline(False)
    (entry,) = wait_for_mixes(page, 1)
    assert [found["code"] for found in entry.payload["judged"]] == ["percent_high"]
    assert "dose" in entry.payload["overrides"]
    kinds = Entry.objects.order_by("pk").values_list("kind", flat=True)
    assert Kind.PAUSED not in kinds  # nothing else was tapped by the second half of the double tap
    one.complaints.clear()


def test_a_pot_larger_than_the_safe_one_has_no_time_to_count_to(to_glass, polyester, bench):
    page = bench(to_glass()).page
    warm(page, 18)
    expect(page.locator("[data-time]")).to_contain_text("Works about")
    page.locator("[data-resin]").fill("2400")  # the hardener follows: the dose is right
    expect(page.locator("[data-time]")).to_contain_text("not known")
    page.get_by_role("button", name="The hardener is in").click()
    expect(page.locator("[data-stop]")).to_contain_text("in one pot")
    page.wait_for_timeout(800)
    page.locator("[data-sure]").click()
    page.locator("dialog.pots[open]").wait_for()
    expect(page.locator(".pot .notice")).to_contain_text("in one pot")
    expect(page.locator(".pot-left")).to_contain_text("+")
    expect(page.locator(".pot")).to_contain_text("counting up")


def test_outside_the_temperatures_of_the_resin_there_is_no_dose_and_no_clock(
    to_glass, polyester, bench
):
    one = bench(to_glass())
    page = one.page
    note, stop, sure = (page.locator(f"[data-{name}]") for name in ("note", "stop", "sure"))
    go = page.get_by_role("button", name="The hardener is in")
    for celsius, words in (
        ("8", "8 °C is too cold"),
        ("14.9", "14.9 °C is too cold"),
        ("35", "35 °C is too hot"),
        ("warm", "Type the temperature"),
    ):
        warm(page, celsius)
        expect(note).to_contain_text(words)
        expect(page.locator("[data-said]")).to_have_text("no dose")
        assert page.locator("[data-resin]").input_value() == ""
        go.click()
        expect(stop).to_contain_text(words)
        expect(sure).not_to_be_visible()
        takes_taps_again(page)
    warm(page, 12)
    page.locator("[data-resin]").fill("200")
    page.locator("[data-hardener]").fill("4")
    go.click()
    expect(stop).to_contain_text("more catalyst does not help")
    one.look("mix-too-cold")
    takes_taps_again(page)
    sure.click()
    (entry,) = wait_for_mixes(page, 1)
    assert [found["code"] for found in entry.payload["judged"]] == ["cold_catalyst"]
    assert "working_s" not in entry.payload
    expect(page.locator("dialog.pots")).not_to_be_visible()


def test_the_edge_of_a_band_belongs_to_the_colder_row_and_is_said(to_glass, polyester, bench):
    page = bench(to_glass()).page
    page.locator("[data-resin]").fill("200")
    for celsius, said in (("19.9", "2 ml"), ("20", "1 ml"), ("68 F", "1 ml")):
        warm(page, celsius)
        expect(page.locator("[data-said]")).to_contain_text(said)
        expect(page.locator("[data-note]")).to_contain_text("The chart changes at 20 °C")
    warm(page, 18)
    expect(page.locator("[data-note]")).not_to_be_visible()


def test_what_cannot_be_read_has_its_sentence(to_glass, polyester, bench):
    page = bench(to_glass()).page
    warm(page, 19)
    go, stop = page.get_by_role("button", name="The hardener is in"), page.locator("[data-stop]")
    page.locator("[data-resin]").fill("abc")
    go.click()
    expect(stop).to_contain_text("Type the resin you weighed")
    takes_taps_again(page)
    page.locator("[data-resin]").fill("200")
    page.locator("[data-hardener]").fill("0")
    go.click()
    expect(stop).to_contain_text("No catalyst: this never sets")
    takes_taps_again(page)
    page.locator("[data-hardener]").fill("4.5")
    start(page)
    assert not Entry.objects.filter(kind=Kind.MIXED).exists()
