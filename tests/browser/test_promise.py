"""The counter asks which day can be promised, uses it, and the order says how sure it was."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from orders.models import Promise
from stages.promises.asking import asked_of
from stages.promises.question import answer
from tests.browser.conftest import ROOMS, SIZES

pytestmark = pytest.mark.django_db(transaction=True)
ANSWER = "#promise-answer .promise-day strong"
HIGH = "document.querySelector('#promise-panel').getBoundingClientRect().height"


@pytest.fixture
def counter(shop, device):
    def at(size):
        for days in (2, 3, 3, 4):
            shop.released(at=timezone.now(), promised_on=timezone.localdate() + timedelta(days))
        # Compiled before anyone waits for it: what is asked here is not how long that takes.
        answer(asked_of({}, today=timezone.localdate()), now=timezone.now())
        return device(size).known("cleo")

    return at


def type_a_board(page, rider):
    page.goto(f"/orders/new/?customer={rider.pk}")
    typed = {"length_nm": "6'2", "width_nm": "19 1/2", "thickness_nm": "2 7/16", "price": "850"}
    for field, text in typed.items():
        page.locator(f"#id_{field}").fill(text)


@pytest.mark.parametrize("size", ROOMS)
def test_a_day_is_asked_for_used_and_kept_with_how_sure_it_was(shop, counter, size):
    it = counter(size)
    page = it.page
    type_a_board(page, shop.rider)
    page.locator(ANSWER).wait_for()
    page.locator("#id_sure").select_option("95")
    page.locator("#promise-answer").get_by_text("With 95 % confidence").wait_for()
    page.locator("#id_promised_on").fill(timezone.localdate().isoformat())
    page.locator(".promise-typed.is-early").wait_for()
    it.look("promise-typed")
    page.get_by_role("button", name="What if it goes first?").click()
    page.get_by_text("Put first, with 95 % confidence").wait_for()
    it.look("promise-first")
    page.get_by_role("button", name="Use this date").click()
    page.get_by_text("is the date above").wait_for()
    assert page.locator("#id_promised_on").evaluate("it => it === document.activeElement")
    day = page.locator(ANSWER).inner_text()
    assert page.locator("[data-promise-said]").text_content() == f"With 95 % confidence: {day}"
    page.get_by_role("button", name="Take the order").last.click()
    page.wait_for_url(re.compile(r"/orders/\d+/$"))
    page.get_by_text("given with 95 % confidence").wait_for()
    promise = Promise.objects.latest("pk")
    assert promise.confidence_percent == 95 and promise.chance >= 0.95


def test_the_form_keeps_still_while_the_answer_comes_and_works_when_none_does(shop, counter):
    it = counter(SIZES["phone"])
    page = it.page
    held = []
    page.route("**/promises/day/", lambda route: held.append(route))
    type_a_board(page, shop.rider)
    page.wait_for_function("() => document.querySelector('#promise-panel [type=submit]')")
    before = page.evaluate(HIGH)
    held.pop().continue_()
    page.locator(ANSWER).wait_for()
    assert page.evaluate(HIGH) == before
    page.unroute("**/promises/day/")
    page.route("**/promises/day/", lambda route: route.fulfill(status=500, body="broken"))
    page.locator("#id_resin").select_option("epoxy")
    page.get_by_text("The form works as before").wait_for()
    assert page.locator(ANSWER).count() == 0
    day = timezone.localdate() + timedelta(days=35)
    page.locator("#id_promised_on").fill(day.isoformat())
    page.get_by_role("button", name="Take the order").last.click()
    page.wait_for_url(re.compile(r"/orders/\d+/$"))
    assert Promise.objects.latest("pk").promised_on == day
    it.complaints.clear()  # the browser tells of the answer that was broken on purpose
