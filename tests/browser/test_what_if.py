"""The manager with a coffee: what holds us back, what would help, and so be it."""

import re

import pytest
from playwright.sync_api import expect

from stages.crew.models import DaysOff
from tests.browser.conftest import SCREENS
from tests.world import MONDAY

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_from_the_bottleneck_to_a_change_that_is_applied(shop, device, size, scheme):
    for _ in range(3):
        shop.released(at=MONDAY)
    desk = device(size, color_scheme=scheme).known("mara")
    page = desk.page
    page.goto("/bottleneck/")
    helps = page.get_by_role("link", name="What would help?")
    expect(helps).to_be_visible()  # the floor is played for each stage first
    for summary in page.get_by_text(re.compile("in (a chart|charts)")).all():
        summary.click()
    desk.look(f"bottleneck-{scheme}")
    helps.click()
    page.get_by_role("link", name="Bo is away for two weeks").click()
    expect(page.get_by_role("heading", name="If Bo is away from")).to_be_visible()
    desk.look(f"what-if-{scheme}")
    page.get_by_role("link", name="Apply").click()
    expect(page.get_by_role("heading", name="Apply this?")).to_be_visible()
    assert not DaysOff.objects.exists()  # asked once more
    desk.look(f"what-if-apply-{scheme}")
    page.get_by_role("button", name="Yes, apply it").click()
    expect(page.get_by_role("status")).to_contain_text("Applied.")
    (days,) = DaysOff.objects.all()
    assert (days.member.user, (days.last - days.first).days) == (shop.bo, 13)


def test_an_answer_can_be_sent_and_asked_again_by_keyboard(shop, device):
    shop.released(at=MONDAY)
    desk = device((1440, 900)).known("mara")
    page = desk.page
    page.goto("/what-if/")
    page.locator("summary", has_text="Boards on the floor, orders").focus()
    page.keyboard.press("Enter")
    page.get_by_label("Orders, %").fill("50")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/what-if/\?orders=50$"))  # the empty fields are left out
    expect(page.get_by_label("Orders, %")).to_have_value("50")  # and its group stands open
    expect(page.get_by_text("Orders come from riders")).to_be_visible()
    assert page.get_by_role("link", name="Apply").count() == 0
