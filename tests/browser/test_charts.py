"""Charts in a real browser: drawn, read out by keys, told by their table, by day and by night."""

import csv

import pytest

from tests.browser import gallery
from tests.browser.conftest import PHONE, SCREENS

pytestmark = pytest.mark.browser

INK = """canvas => {
  const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
  const found = new Set();
  let drawn = 0;
  for (let i = 0; i < data.length; i += 4) {
    if (!data[i + 3]) continue;
    drawn++;
    found.add((data[i] << 16) | (data[i + 1] << 8) | data[i + 2]);
  }
  return { share: drawn / (data.length / 4), colours: [...found] };
}"""


@pytest.fixture
def page_of_charts(device, transactional_db, settings):
    settings.ROOT_URLCONF = gallery.__name__

    def open_on(size=PHONE, **options):
        one = device(size, **options)
        one.page.goto("/gallery/")
        return one

    return open_on


def drawn_ones(one):
    one.page.locator("[data-draw] canvas").first.wait_for()
    return one.page.locator("[data-draw] canvas").all()


def number(css: str) -> int:
    return int(css.lstrip("#"), 16)


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_every_kind_is_drawn_and_the_console_stays_quiet(page_of_charts, size, scheme):
    one = page_of_charts(size, color_scheme=scheme)
    canvases = drawn_ones(one)
    assert len(canvases) == len(gallery.charts()) - 1  # the empty one says so in words
    for canvas in canvases:
        assert canvas.evaluate(INK)["share"] > 0.02
    assert one.page.get_by_text("There are no figures for this yet.").is_visible()
    one.look(f"charts-{scheme}")


def test_nine_series_look_nine_ways_in_the_key(page_of_charts):
    """Told apart without colour: the looks are compared in shades of grey."""
    one = page_of_charts()
    key = one.page.locator("#chart-stacked [data-key]")
    key.locator("canvas").last.wait_for()
    looks = key.locator("canvas").evaluate_all(
        """all => all.map(canvas => {
          const grey = new OffscreenCanvas(canvas.width, canvas.height).getContext("2d");
          grey.filter = "grayscale(1)";
          grey.drawImage(canvas, 0, 0);
          return grey.getImageData(0, 0, canvas.width, canvas.height).data.join();
        })"""
    )
    assert key.locator("li").all_inner_texts() == list(gallery.NINE)
    assert len(set(looks)) == len(gallery.NINE)


def test_it_is_sharp_on_a_phone(page_of_charts):
    one = page_of_charts(device_scale_factor=3)
    canvas = drawn_ones(one)[0]
    assert canvas.evaluate("one => one.width / one.clientWidth") == pytest.approx(3, abs=0.02)


def test_arrow_keys_speak(page_of_charts):
    one = page_of_charts()
    figure = one.page.locator("#chart-control")
    place, said = figure.locator("[data-draw]"), figure.locator("[aria-live]")
    place.focus()
    for key, words in [
        ("ArrowRight", "2 Mar. Mean: 4.0, between 2.5 and 5.5"),
        ("ArrowRight", "4 Mar. Mean: 3.5, between 2.0 and 5.0"),
        ("ArrowLeft", "2 Mar. Mean: 4.0, between 2.5 and 5.5"),
        ("ArrowLeft", "2 Mar. Mean: 4.0, between 2.5 and 5.5"),
        ("End", "24 Mar. Mean: 5.5, between 4.0 and 7.0"),
        ("Home", "2 Mar. Mean: 4.0, between 2.5 and 5.5"),
    ]:
        place.press(key)
        assert said.inner_text() == words
    for _ in range(3):
        place.press("ArrowRight")
    assert said.inner_text() == "8 Mar. Mean: none known"
    for _ in range(2):
        place.press("ArrowRight")
    assert said.inner_text() == "12 Mar. Mean: 9.5, between 8.0 and 11.0, marked"


def test_a_finger_reads_what_it_lies_on(page_of_charts):
    one = page_of_charts(has_touch=True)
    figure = one.page.locator("#chart-across")
    box = figure.locator("[data-draw]").bounding_box()
    figure.locator("[data-draw]").tap(position={"x": box["width"] - 30, "y": box["height"] * 0.48})
    said = figure.locator("[aria-live]").inner_text()
    assert said == "Glassing. Waiting: 14.5; In hand: 4.0"


def test_the_file_holds_the_figures_of_the_table(page_of_charts):
    page = page_of_charts().page
    figure = page.locator("#chart-steps")
    figure.locator("summary").click()
    table = figure.locator("tr").evaluate_all(
        "rows => rows.map(row => [...row.cells].map(cell => cell.textContent))"
    )
    with page.expect_download() as coming:
        figure.get_by_role("link", name="These figures as CSV").click()
    assert coming.value.suggested_filename == "steps.csv"
    with open(coming.value.path(), encoding="utf-8-sig", newline="") as kept:
        header, *rows = csv.reader(kept)
    assert header == table[0]
    numbers = [[float(cell) if cell else None for cell in row] for row in rows]
    shown = [[None if cell == "–" else float(cell) for cell in row] for row in table[1:]]
    assert numbers == shown
    assert len(rows) == 5


def test_it_changes_with_the_light_at_once(page_of_charts):
    one = page_of_charts(color_scheme="light")
    canvas = drawn_ones(one)[0]
    token = "() => getComputedStyle(document.documentElement).getPropertyValue('--series-1')"
    by_day, day = number(one.page.evaluate(token)), canvas.evaluate(INK)["colours"]
    one.page.emulate_media(color_scheme="dark")
    by_night, night = number(one.page.evaluate(token)), canvas.evaluate(INK)["colours"]
    assert by_day in day and by_day not in night
    assert by_night in night and by_night not in day


def test_without_script_the_table_stands_open(page_of_charts):
    one = page_of_charts(java_script_enabled=False)
    figure = one.page.locator("#chart-control")
    assert figure.get_by_role("row").count() == 13
    assert figure.get_by_role("cell", name="9.5").is_visible()
    assert not figure.locator("[data-draw]").is_visible()
