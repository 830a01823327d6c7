"""Photos and defects in a real browser: shrunk on the device, kept there, each sent once."""

import pytest
from django.urls import reverse

from stages.log.fold import Kind
from stages.log.models import Entry
from stages.photos.models import Photo
from tests.browser.conftest import PHONE, ROOMS
from tests.stages.photos.making import phones_photo
from tests.waiting import wait_until
from tests.world import MONDAY

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def photo_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


@pytest.fixture
def in_sanding(shop):
    """A board in Sela's hands at sanding; the address of its ticket."""
    board = shop.released()
    at = shop.worked(board, until="Sanding")
    shop.log(board, Kind.TAKEN, shop.sela, at, overrides={"resting": "warm bay"})
    board.address = reverse("ticket", args=[board.tickets.get(voided_at=None).code])
    return board


def photo(name="IMG.jpg", size=(2400, 1800)):
    return {"name": name, "mimeType": "image/jpeg", "buffer": phones_photo(size)}


def take(page, *, times=1):
    """From the page's own photo form, once the device has kept each."""
    before = waiting(page)
    for done in range(times):
        page.locator("[data-photo-form] [data-photo-input]").set_input_files(photo())
        wait_until(
            lambda done=done: len(waiting(page)) > len(before) + done or Photo.objects.exists(),
            "the device kept no photo",
            page=page,
        )


KEPT = """async () => {
  const open = indexedDB.open("photos");
  const db = await new Promise((done) => (open.onsuccess = () => done(open.result)));
  if (!db.objectStoreNames.contains("waiting")) return [];
  const all = db.transaction("waiting").objectStore("waiting").getAll();
  const rows = await new Promise((done) => (all.onsuccess = () => done(all.result)));
  db.close();
  return Promise.all(rows.map(async (row) => {
    const bitmap = await createImageBitmap(new Blob([row.bytes], { type: row.type }));
    const text = new TextDecoder("latin1").decode(row.bytes);
    return { ref: row.ref, width: bitmap.width, height: bitmap.height, type: row.type,
             size: row.bytes.byteLength, told: /Exif|GPS|A phone|taken at home/.test(text) };
  }));
}"""


def waiting(page) -> list[dict]:
    return page.evaluate(KEPT)


def arrived(page, many: int):
    """Every photo is on the server, and the device says that nothing waits."""
    page.locator("[data-photos-count]").wait_for(state="hidden")
    assert waiting(page) == []
    assert Photo.objects.count() == many


def without_signal(page):
    page.unroute("**/boards/*/photos/")
    page.route("**/boards/*/photos/", lambda route: route.abort())


def with_signal(page):
    page.unroute("**/boards/*/photos/")
    page.evaluate("dispatchEvent(new Event('online'))")


def answering(status: int):
    return lambda route: route.fulfill(status=status, body="no")


def heard(phone):
    """A request that was made to fail is told by the browser's console: the test's doing."""
    phone.complaints[:] = [one for one in phone.complaints if "Failed to load" not in one]


def test_a_photo_is_made_upright_small_and_placeless_before_it_leaves_the_device(
    in_sanding, device
):
    phone = device(PHONE).sign_in("sela")
    page = phone.page
    page.goto(in_sanding.address)
    without_signal(page)
    take(page)
    (kept,) = waiting(page)
    assert (kept["width"], kept["height"], kept["type"]) == (1200, 1600, "image/jpeg")
    assert not kept["told"]
    assert kept["size"] < 400_000
    page.get_by_text("1 photo waiting to be sent").wait_for()
    with_signal(page)
    arrived(page, 1)
    one = Photo.objects.get()
    assert (one.by.username, one.stage.name) == ("sela", "Sanding")
    heard(phone)


def test_what_waits_outlives_reloads_and_bad_answers_and_is_sent_once(in_sanding, device):
    phone = device(PHONE).sign_in("sela")
    page = phone.page
    page.goto(in_sanding.address)
    without_signal(page)
    take(page, times=3)
    page.get_by_text("3 photos waiting to be sent").wait_for()
    refs = {one["ref"] for one in waiting(page)}
    for status in (500, 403, 401):
        page.unroute("**/boards/*/photos/")
        page.route("**/boards/*/photos/", answering(status))
        with page.expect_response("**/boards/*/photos/"):
            page.reload()
        page.get_by_text("3 photos waiting to be sent").wait_for()
        assert {one["ref"] for one in waiting(page)} == refs
    # The server has it, and the answer is lost on the way: the same photo comes again.
    page.unroute("**/boards/*/photos/")

    answers = []

    def lost(route):
        answers.append(route.fetch().status)
        route.abort()

    page.route("**/boards/*/photos/", lost)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.get_by_text("No signal.").wait_for()
    assert answers == [200]
    assert (Photo.objects.count(), len(waiting(page))) == (1, 3)
    without_signal(page)
    # Another page of the bay sends them too.
    page.goto("/scan/")
    page.get_by_text("3 photos waiting to be sent").wait_for()
    with_signal(page)
    arrived(page, 3)
    assert {str(ref) for ref in Photo.objects.values_list("ref", flat=True)} == refs
    heard(phone)


def test_without_signal_the_bays_pages_open_again_with_what_waits(in_sanding, device):
    phone = device(PHONE, keeps_pages=True).sign_in("sela")
    page = phone.page
    page.goto(in_sanding.address)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    for path in (in_sanding.address, "/scan/"):
        there = f"async () => Boolean(await caches.match('{path}'))"
        wait_until(lambda there=there: page.evaluate(there), f"{path} is not kept", page=page)
    phone.context.set_offline(True)
    page.goto(in_sanding.address)
    take(page, times=2)
    page.get_by_text("2 photos waiting to be sent").wait_for()
    assert page.locator("[data-photos-waiting] img").count() == 2
    phone.look("photos-offline")
    page.goto("/scan/")
    page.get_by_text("2 photos waiting to be sent").wait_for()
    page.reload()
    page.get_by_text("2 photos waiting to be sent").wait_for()
    phone.context.set_offline(False)
    arrived(page, 2)
    assert {one.by.username for one in Photo.objects.select_related("by")} == {"sela"}
    heard(phone)


def test_two_tabs_send_each_photo_once(in_sanding, device):
    phone = device(PHONE).sign_in("sela")
    one, other = phone.page, phone.context.new_page()
    one.goto(in_sanding.address)
    other.goto(in_sanding.address)
    for page in (one, other):
        without_signal(page)
    take(one, times=4)
    for page in (one, other):
        with_signal(page)
    arrived(one, 4)
    heard(phone)


def test_a_picture_the_server_cannot_read_is_shown_until_someone_removes_it(in_sanding, device):
    phone = device(PHONE).sign_in("sela")
    page = phone.page
    page.goto(in_sanding.address)
    page.locator("[data-photo-form] [data-photo-input]").set_input_files(
        {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"}
    )
    page.get_by_text("no picture that can be read").wait_for()
    assert Photo.objects.count() == 0
    page.reload()
    page.get_by_role("button", name="Remove it").click()
    page.get_by_text("no picture that can be read").wait_for(state="hidden")
    assert waiting(page) == []
    heard(phone)


def test_a_defect_is_put_on_the_drawing_by_a_tap_and_goes_with_its_photo(in_sanding, device):
    phone = device(PHONE).sign_in("sela")
    page = phone.page
    page.goto(in_sanding.address)
    page.get_by_text("Something wrong").click()
    page.get_by_role("radio", name="Glassing").check()
    page.get_by_label("What is wrong").select_option("dry weave")
    drawing = page.locator("svg[data-side=bottom]")
    place = drawing.evaluate(
        """(svg) => {
          const at = new DOMPoint(120, 640).matrixTransform(svg.getScreenCTM());
          const box = svg.getBoundingClientRect();
          return { x: at.x - box.x, y: at.y - box.y };
        }"""
    )
    drawing.click(position=place)
    assert page.get_by_label("Where on the board").input_value().startswith("bottom:-1")
    page.locator("[data-photo-pick] [data-photo-input]").first.set_input_files(photo())
    page.locator("[data-photo-shown] img").wait_for()
    phone.look("send-back")
    page.get_by_role("button", name="Send back").click()
    wait_until(
        lambda: Entry.objects.filter(kind=Kind.SENT_BACK).exists() and Photo.objects.exists(),
        "the board was not sent back with its photo",
        page=page,
    )
    said = Entry.objects.get(kind=Kind.SENT_BACK).payload
    # A pixel of this phone's drawing is some 5 mm.
    assert said["spot"]["side"] == "bottom"
    assert abs(said["spot"]["x_mm"] + 120) <= 6 and abs(said["spot"]["y_mm"] - 640) <= 6
    assert said["photos"] == [str(Photo.objects.get().ref)]
    assert (said["defect"], said["cause"]) == ("dry weave", said["to"])


def test_without_a_finger_the_list_of_places_says_the_same(in_sanding, device):
    page = device(PHONE).sign_in("sela").page
    page.goto(in_sanding.address)
    page.get_by_text("Something wrong").click()
    page.get_by_label("Where on the board").select_option("deck: tail, left")
    mark = page.locator("svg[data-side=deck] .spot-mark")
    assert mark.get_attribute("display") is None
    assert page.locator("svg[data-side=bottom] .spot-mark").get_attribute("display") == "none"


def test_without_script_a_photo_is_sent_by_the_plain_form(in_sanding, device):
    phone = device(PHONE, java_script_enabled=False).sign_in("sela")
    page = phone.page
    page.goto(in_sanding.address)
    page.locator("[data-photo-form] [data-photo-input]").set_input_files(photo())
    page.get_by_role("button", name="Add the photo").click()
    page.get_by_text("The photo is kept.").wait_for()
    assert Photo.objects.get().width == 1200


@pytest.mark.parametrize("size", ROOMS)
def test_the_pages_of_photos_and_defects_hold_at_every_size(shop, in_sanding, device, size):
    desk = device(size).sign_in("mara")
    page = desk.page
    back = {
        "to": 2,
        "defect": "dry weave",
        "note": "two hands wide",
        "spot": {"side": "deck", "x_mm": 90, "y_mm": 600},
        "cause": 2,
    }
    shop.log(in_sanding, Kind.SENT_BACK, shop.sela, MONDAY, payload=back)
    page.goto(in_sanding.address)
    page.locator("[data-photo-form] [data-photo-input]").set_input_files(photo())
    page.get_by_text("Sent just now").wait_for()
    desk.look("photos-bay")
    page.goto(f"/boards/{in_sanding.number}/")
    page.get_by_role("button", name="Show to the rider").wait_for()
    page.locator(".photos img").first.scroll_into_view_if_needed()
    desk.look("photos-board")
    for name, address in [
        ("scrap", f"/boards/{in_sanding.number}/scrap/"),
        ("defects", "/set-up/defects/"),
    ]:
        page.goto(address)
        desk.look(name)
    page.goto(f"/boards/{in_sanding.number}/scrap/")
    page.get_by_label("What is wrong").select_option("delamination")
    page.get_by_label("It cannot be saved").check()
    page.get_by_role("button", name="Scrap it and start again").click()
    page.get_by_text("takes its place, first in line").wait_for()
    desk.look("remake")
