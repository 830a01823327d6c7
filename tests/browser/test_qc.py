"""The QC sheet under a glove: stepped and typed, judged at once, kept through reloads, offline."""

import pytest
from django.core.exceptions import ValidationError
from playwright.sync_api import expect

from orders.shape.units import UnitError, as_written, parse_length, parse_measured
from orders.specs.fields import LengthField
from stages.log.fold import Kind
from stages.log.models import Entry, Position
from stages.quality.taps import BoardMassField
from tests.browser.conftest import PHONE, ROOMS, SCREENS

pytestmark = pytest.mark.browser


@pytest.fixture
def board(shop):
    board = shop.released(nose_rocker_nm=parse_length("4 7/8"))
    at = shop.worked(board, until="QC")
    shop.log(board, Kind.TAKEN, shop.quin, Position.objects.get(board=board).rests_until or at)
    return board


@pytest.fixture
def qc(device, board):
    def opened(size=PHONE, **options):
        one = device(size, **options).known("quin")
        one.page.goto(f"/T/{board.tickets.get().code}")
        return one

    return opened


def line(page, name):
    return page.locator(f"[data-qc-line={name}]")


def said(page, name):
    return line(page, name).locator("[data-qc-said]")


def sheet_of(board):
    return Entry.objects.get(board=board, kind=Kind.PASSED).payload["sheet"]


def passed(page):
    page.get_by_role("button", name="Pass", exact=True).click()


def big_ticks(page):
    page.locator("[name=qc-as-ordered]").check()
    page.locator("[name=qc-all-good]").check()


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_the_sheet_stands_on_every_screen_and_its_targets_suit_a_glove(qc, size, scheme):
    one = qc(size, color_scheme=scheme)
    for _ in range(3):
        line(one.page, "width_nm").get_by_role("button", name="more").click()
    one.page.locator("[name='qc-how-width_nm'][value=word]").check()
    one.look(f"qc-{scheme}")
    boxes = one.page.locator(".qc button, .qc input:not([type=hidden]), .qc summary")
    for box in boxes.all():
        if box.is_visible():
            assert box.bounding_box()["height"] >= 48


def test_a_right_board_is_two_ticks_and_a_pass(qc, board):
    page = qc().page
    big_ticks(page)
    expect(page.locator("[name=qc-width_nm]")).to_have_value("as ordered")
    passed(page)
    page.get_by_text("Logged").wait_for()
    assert Position.objects.get(board=board).state == "ready"
    sheet = sheet_of(board)
    assert "width_nm" in sheet["as_ordered"] and "measured" not in sheet


@pytest.mark.parametrize("size", ROOMS)
def test_the_desk_reads_the_sheet_what_was_taken_and_the_rules(qc, board, device, size):
    page = qc().page
    big_ticks(page)
    page.locator("[name=qc-nose_nm]").fill("12 1/4")
    page.locator("[name='qc-how-nose_nm'][value=second]").check()
    passed(page)
    page.get_by_text("Logged").wait_for()
    desk = device(size, color_scheme="dark").known("mara")
    for name, address in (
        ("qc-told", f"/boards/{board.number}/qc/"),
        ("qc-taken", "/qc/taken/"),
        ("qc-rules", "/set-up/quality/"),
    ):
        desk.page.goto(address)
        desk.look(name)


def test_a_number_is_stepped_by_sixteenths_from_the_ordered_one(qc):
    page = qc().page
    width, more = line(page, "width_nm"), "Width: more"
    width.get_by_role("button", name=more).click()
    expect(width.locator("input").first).to_have_value("19 9/16")
    width.get_by_role("button", name="Width: less").click()
    width.get_by_role("button", name="Width: less").click()
    expect(width.locator("input").first).to_have_value("19 7/16")
    width.get_by_role("button", name="Width: as ordered").click()
    expect(width.locator("input").first).to_have_value("as ordered")
    expect(said(page, "width_nm")).to_be_hidden()
    width.get_by_role("button", name=more).click()
    expect(width.locator("input").first).to_have_value("19 9/16")


def test_outside_shows_at_once_and_a_pass_waits_for_the_decision(qc, board):
    page = qc().page
    big_ticks(page)
    page.locator("[name=qc-width_nm]").fill("19 5/8")
    expect(said(page, "width_nm")).to_be_hidden()
    page.locator("[name=qc-width_nm]").fill("500 mm")
    expect(said(page, "width_nm")).to_contain_text("0.19\" over; 1/8\" is allowed.")
    passed(page)
    expect(said(page, "width_nm")).to_contain_text("Choose what happens.")
    expect(said(page, "width_nm")).to_be_in_viewport()
    page.locator("[name='qc-how-width_nm'][value=word]").check()
    passed(page)
    expect(said(page, "width_nm")).to_contain_text("Who said so?")
    assert not Entry.objects.filter(board=board, kind=Kind.PASSED).exists()
    page.locator("[name='qc-who-width_nm']").fill("Åse")
    passed(page)
    page.get_by_text("Logged").wait_for()
    assert sheet_of(board)["decisions"]["width_nm"]["who"] == "Åse"
    assert sheet_of(board)["measured"]["width_nm"] == 500_000_000


def test_fins_are_held_left_against_right_as_they_are_typed(qc):
    page = qc().page
    page.get_by_text("Fins, left and right").click()
    pair = page.locator("[data-qc-pair=front-up]")
    page.locator("[name=qc-front-up-left]").fill("11")
    page.locator("[name=qc-front-up-right]").fill("11 1/16")
    expect(pair.locator("[data-qc-said]").last).to_be_hidden()
    page.locator("[name=qc-front-up-right]").fill("11 1/8")
    expect(pair.locator("[data-qc-said]").last).to_have_text(
        "1/8\" more on the right; 1/16\" is allowed."
    )
    expect(page.locator("[name=qc-how-front-up]")).to_have_count(3)


def test_grading_one_number_a_second_grades_the_board(qc, board):
    page = qc().page
    big_ticks(page)
    page.locator("[name='qc-check-finish'][value=bad]").check()
    expect(said(page, "check-finish")).to_contain_text("Not right.")
    page.locator("[name='qc-how-check-finish'][value=second]").check()
    expect(page.locator("[name=qc-grade][value=second]")).to_be_checked()
    passed(page)
    page.get_by_text("Logged").wait_for()
    assert sheet_of(board)["grade"] == "second"


def test_rework_leads_to_the_form_that_sends_the_board_back(qc, board):
    page = qc().page
    big_ticks(page)
    page.locator("[name=qc-thickness_nm]").fill("2 3/4")
    page.locator("[name='qc-how-thickness_nm'][value=rework]").check()
    expect(page.locator("#where")).to_have_value("Thickness 2 7/16, ± 1/16\": 2 3/4")
    expect(page.get_by_role("heading", name="Send it back")).to_be_visible()
    passed(page)
    expect(said(page, "thickness_nm")).to_contain_text("send the board back instead")
    assert Position.objects.get(board=board).state == "in_hand"


def test_a_board_sent_back_from_a_half_typed_sheet_is_no_longer_shown_in_hand(qc, board):
    page = qc().page
    page.locator("[name=qc-width_nm]").fill("9")
    page.locator(".wrong > summary").click()
    page.locator("label:has(> [name=to])").first.click()
    page.locator(".wrong select").first.select_option(index=1)
    page.get_by_role("button", name="Send back").click()
    expect(page.locator(".logged")).to_contain_text("Logged")
    expect(page.locator("[data-slot=state]")).not_to_contain_text("In your hands")


KEPT = "Object.keys(localStorage).filter((key) => key.startsWith('qc:'))"
THREE_MINUTES_LATER = (
    "() => { for (const key of " + KEPT + ") {"
    " const kept = JSON.parse(localStorage.getItem(key));"
    " localStorage.setItem(key, JSON.stringify({ ...kept, at: kept.at - 180_000 })); } }"
)


def test_what_was_typed_stays_through_a_reload_and_is_gone_once_the_board_has_passed(qc, board):
    page = qc().page
    page.locator("[name=qc-width_nm]").fill("19 3/4")
    page.locator("[name='qc-how-width_nm'][value=word]").check()
    page.locator("[name='qc-who-width_nm']").fill("Åse")
    page.locator("[name=qc-mass]").fill("5 lb 2 oz")
    page.locator("[name='qc-check-rails'][value=good]").check()
    page.reload()
    expect(page.locator("[name=qc-width_nm]")).to_have_value("19 3/4")
    expect(page.locator("[name='qc-how-width_nm'][value=word]")).to_be_checked()
    expect(page.locator("[name='qc-who-width_nm']")).to_have_value("Åse")
    expect(page.locator("[name=qc-mass]")).to_have_value("5 lb 2 oz")
    expect(page.locator("[name='qc-check-rails'][value=good]")).to_be_checked()
    big_ticks(page)
    passed(page)
    page.get_by_text("Logged").wait_for()
    page.evaluate(THREE_MINUTES_LATER)
    page.reload()
    page.get_by_text("On the rack").wait_for()
    assert not page.evaluate(KEPT)


def test_a_pass_that_is_undone_finds_its_sheet_again(qc, board):
    page = qc().page
    big_ticks(page)
    page.locator("[name=qc-width_nm]").fill("19 9/16")
    passed(page)
    page.get_by_text("Logged").wait_for()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("[name=qc-width_nm]")).to_have_value("19 9/16")
    expect(page.locator("[name=qc-as-ordered]")).to_be_checked()


def test_without_signal_the_sheet_is_judged_just_the_same(qc, board):
    one = qc(keeps_pages=True)
    page = one.page
    one.context.set_offline(True)
    big_ticks(page)
    page.locator("[name=qc-length_nm]").fill("6'3")
    expect(said(page, "length_nm")).to_contain_text("1\" over; 1/4\" is allowed.")
    passed(page)
    expect(said(page, "length_nm")).to_contain_text("Choose what happens.")
    assert not Entry.objects.filter(board=board, kind=Kind.PASSED).exists()
    page.locator("[name=qc-length_nm]").fill("6'2")
    passed(page)
    page.get_by_text("Kept on this device").wait_for()
    one.context.set_offline(False)
    page.get_by_text("Logged").wait_for()
    assert sheet_of(board)["measured"]["length_nm"] == parse_length("6'2", bare="ft")
    one.complaints.clear()  # Chromium reports the lost signal


def test_a_board_is_taken_and_passed_with_no_signal_at_all(device, shop, board):
    """From the copy of its page that the phone keeps, sheet and limits and all."""
    shop.log(board, Kind.PAUSED, shop.quin, Entry.objects.filter(board=board).last().recorded_at)
    one = device(PHONE, keeps_pages=True).known("quin")
    page = one.page
    page.goto(f"/T/{board.tickets.get().code}")
    page.wait_for_load_state("networkidle")
    one.context.set_offline(True)
    page.get_by_role("button", name="Carry on").click()
    page.get_by_text("Kept on this device").wait_for()
    page.locator("[name=qc-tail_nm]").fill("15")
    expect(said(page, "tail_nm")).to_contain_text("1/2\" over; 1/8\" is allowed.")
    big_ticks(page)
    passed(page)
    expect(said(page, "tail_nm")).to_contain_text("Choose what happens.")
    page.locator("[name='qc-how-tail_nm'][value=second]").check()
    passed(page)
    expect(page.locator("[name=qc-tail_nm]")).to_have_count(0)
    assert not Entry.objects.filter(board=board, kind=Kind.PASSED).exists()
    one.context.set_offline(False)
    page.get_by_text("Logged").wait_for()
    assert sheet_of(board)["decisions"] == {"tail_nm": {"how": "second"}}
    assert Position.objects.get(board=board).state == "ready"
    one.complaints.clear()  # Chromium reports the lost signal


def test_without_script_the_server_judges_and_keeps_what_was_typed(qc, board):
    page = qc(java_script_enabled=False).page
    page.locator("[name=qc-as-ordered]").check(force=True)
    page.locator("[name=qc-all-good]").check(force=True)
    page.locator("[name=qc-width_nm]").fill("19 3/4")
    passed(page)
    expect(said(page, "width_nm")).to_contain_text("1/4\" over; 1/8\" is allowed.")
    page.locator("[name='qc-how-width_nm'][value=second]").check(force=True)
    passed(page)
    page.get_by_text("Logged").wait_for()
    assert sheet_of(board)["grade"] == "second"


TYPED = [
    "6'2", "6'2\"", "6'2 1/2", "6-2", "6 2", "6 ft 2 in", "74", "74 1/2", "74\"", "6.2", "188",
    "188 cm", "1.88 m", "1880 mm", "1,88 m", "1,880 mm", "12 1/2\"", "6-1/2\"", "6' 14\"", "6½",
    "6’2¾”", "19 1/2", "19-1/2", "19.5", "19,5", "1/2", ".5", "0", "0.03125", "5/4", "1/0", "1/3",
    "19 1/2 in", "495", "495 mm", "49.5 cm", "495,3", "- 3/8", "-3/8", "−10 mm", "", "  ", "wide",
    "19 1/2 1/2", "1e3", "999999", "11 3⁄8", "7/16\"", "2  7/16", "2 7 / 16", "3 feet", "0'5",
    "1" * 41, "12 ft 0 1/32", "6'0 1/2\"", "5''", "19 ½", "¼", "1.0000001", "0.00000001 mm",
    "68", "74 1/2.", "74 2", "74'", "144", "143.5", "10001 mm", "6'2.", "19.", "6-2 in", "6-2in",
]  # fmt: skip


LENGTHS = "async (asked) => { const lengths = await import('/static/js/quality/lengths.js');"
LENGTHS += " return %s; }"


def test_device_and_server_read_the_same_lengths(qc):
    """Every text in every kind of field: the same nanometres, or refused by both."""
    page = qc().page
    asked = [
        (text, bare, signed)
        for text in TYPED
        for bare in ("ft", "in", "mm")
        for signed in (False, True)
    ]

    def on_the_server(text, bare, signed):
        text = text.strip()
        behind = signed and text[:1] in ("-", "−", "–")
        try:
            nm = parse_length(text[1:] if behind else text, bare=bare)
        except UnitError:
            return None
        return -nm if behind else nm

    found = page.evaluate(LENGTHS % "asked.map((one) => lengths.readLength(...one))", asked)
    wrong = [
        (one, here, there)
        for one, here in zip(asked, found, strict=True)
        if here != (there := on_the_server(*one))
    ]
    assert not wrong
    ordered = [parse_length(one) for one in ("74", "80", "24", "19 1/2", "1", "0", "1880 mm")]
    asked = [
        (text, bare, nm, signed)
        for text in [*TYPED, *MEASURED]
        for bare in ("ft", "in", "mm")
        for nm in ordered
        for signed in (False, True)
    ]
    found = page.evaluate(LENGTHS % "asked.map((one) => lengths.readMeasured(...one))", asked)
    wrong = [
        (one, here, there)
        for one, here in zip(asked, found, strict=True)
        if here != (there := measured_on_the_server(*one))
    ]
    assert not wrong


MEASURED = ["74 1/4", "74.25", "188", "188.5", "1880", "62", "22", "24", "36", "49.5", "25", "2.5"]


def measured_on_the_server(text, bare, ordered, signed):
    text = text.strip()
    behind = signed and text[:1] in ("-", "−", "–")
    try:
        nm = parse_measured(text[1:] if behind else text, bare=bare, ordered=ordered)
    except UnitError:
        return None
    return -nm if behind else nm


def test_what_the_device_writes_reads_back_as_the_same_length(qc):
    page = qc().page
    lengths = [n * 793_750 for n in (0, 1, 2, 16, 31, 32, 33, 383, 384, 385, 400, 624, 2368, 2369)]
    lengths += [1, 500_000_000, 1_234_567_890, 31_750_001]
    write = "asked.map((nm) => ['ft', 'in', 'mm'].map((bare) => lengths.writeLength(nm, bare)))"
    found = page.evaluate(LENGTHS % write, lengths)
    for nm, texts in zip(lengths, found, strict=True):
        for text, bare in zip(texts, ("ft", "in", "mm"), strict=True):
            assert parse_length(text, bare=bare) == nm, text
    assert found[10] == ["1'0 1/2\"", "12 1/2", "317.5 mm"]
    assert as_written(lengths[10], "ftin") == found[10][0]
    assert LengthField(bare="in").text(lengths[3]) == found[3][1]


WEIGHED = [
    "2.4", "2,4", "2.4 kg", "2400 g", "2400", "5 lb 6 oz", "5 lbs 6 oz", "5 1/2 lb", "86 oz", "0.2",
    "0.199", "40", "40.1", "2 1/2 kg", "2½ kg", "heavy", "", "1/0", "2 stone", "5lb6oz", "2.4kilos",
    "2,400", "2.400 g", "300.125 g", "5 lb 20 oz", "5.5 lb 6 oz", "9/4 kg", "5 9/8 lb", "2.400 kg",
]  # fmt: skip


def test_device_and_server_read_the_same_masses(qc):
    found = qc().page.evaluate(LENGTHS % "asked.map(lengths.readMass)", WEIGHED)

    def on_the_server(text):
        try:
            return BoardMassField().clean(text)
        except ValidationError:
            return None

    assert dict(zip(WEIGHED, found, strict=True)) == {one: on_the_server(one) for one in WEIGHED}
