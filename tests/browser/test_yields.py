"""Quality over time on every screen: the flag in words, the boards behind it, the rules."""

from datetime import timedelta

import pytest
from django.utils import timezone

from tests.browser.conftest import DESK, SCREENS
from tests.stages.yields.floor import Floor

pytestmark = pytest.mark.browser


@pytest.fixture
def quality(shop):
    """A board a week, one of them sent back, for thirteen weeks; then a week of four, all sent
    back, with the longest words there are."""
    floor = Floor(shop)
    now = timezone.now()
    monday = (now - timedelta(days=now.weekday())).replace(hour=8, minute=0)
    for week in range(5, 18):
        at = monday - timedelta(weeks=week)
        floor.sent_back(1, "pinholes", at) if week == 11 else floor.good(at)
    for hour in range(4):
        at = monday - timedelta(weeks=1) + timedelta(hours=hour)
        floor.sent_back(0, "lamination lifting from the foam along the whole rail band", at)
    return monday.date() - timedelta(weeks=1)


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_quality_stands_on_every_screen(device, quality, size, scheme):
    one = device(size, color_scheme=scheme).known("mara")
    page = one.page
    page.goto("/quality-over-time/?period=4w")
    page.locator("#chart-share canvas[role=img]").wait_for()
    said = page.locator(".sayings").inner_text()
    assert f"Week of {quality.day} {quality:%B}: 4 of 4 sent back. Chance alone seldom" in said
    one.look(f"quality-{scheme}")
    page.locator(".sayings").get_by_role("link", name="4 of 4 sent back").click()
    assert page.locator(".boards tbody tr").count() == 4
    one.look(f"quality-boards-{scheme}")


def test_a_rule_is_turned_off_and_a_stage_chosen_by_keyboard(device, quality):
    one = device(DESK).known("mara")
    page = one.page
    page.goto("/quality-over-time/?period=4w")
    page.get_by_text("Rules that flag a point").press("Enter")
    page.get_by_role("button", name="Rule 1").press("Enter")
    page.wait_for_url("**rules=234**")
    assert page.get_by_role("button", name="Rule 1").get_attribute("aria-pressed") == "false"
    page.get_by_role("button", name="Sanding").press("Enter")
    page.wait_for_url("**at=**")
    assert "rules=234" in page.url
    assert page.locator("#chart-minutes figcaption").inner_text() == (
        "Minutes in hands at Sanding, board by board"
    )
