"""The order confirmation that the customer signs."""

from dataclasses import replace

import pypdfium2 as pdfium
import pytest
import zxingcpp

from orders.orderbook.confirmation import Confirmation, ConfirmedBoard, confirmation_pdf

OUTLINE = [(0, 80), (600, 245), (1300, 220), (1880, 0), (1300, -220), (600, -245), (0, -80)]
BOARD = ConfirmedBoard(
    title="Board B-1042, Harbour fish",
    dims="6'2\" x 19 1/2 x 2 7/16, 31.2 L",
    lines=(("Tail", "Squash"), ("Fin boxes", "Two-plug, thruster"), ("Bottom cloth", "4 oz")),
    price="€ 745.00",
    promised="Friday 14 March 2025",
    outline=OUTLINE,
    length_mm=1880,
    width_mm=490,
)
ORDER = Confirmation(
    factory_name="Gannet Rock Boards",
    factory_address=["Harbour Road 4", "8390 Skarvika"],
    factory_phone="+46 8 465 004 99",
    opening_hours=["Mon to Fri 9 to 17"],
    order_number="O-331",
    date="3 February 2025",
    printed="4 February 2025, 10:15",
    customer="Signe Łukasz-Ødegård",
    contact=["signe@example.com"],
    boards=[BOARD, replace(BOARD, title="Board B-1043, Harbour fish", promised="")],
    charges=[("Delivery", "€ 40.00")],
    total="€ 1,530.00",
    deposit="€ 500.00",
    payments=[("Deposit, 3 Feb 2025", "€ 500.00")],
    balance="€ 1,030.00",
    notes="Collect on a Saturday.\nAsk for Óscar & “Mia” <counter>.",
    terms="A deposit of a third starts the work.",
)


def texts(data: Confirmation) -> list[str]:
    pages = pdfium.PdfDocument(confirmation_pdf(data))
    return [
        page.get_textpage().get_text_range().replace("\ufffe", "-").replace("\x02", "-")
        for page in pages
    ]


def test_all_that_was_agreed_is_on_a4_paper():
    document = pdfium.PdfDocument(confirmation_pdf(ORDER))
    assert document[0].get_size() == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.01)
    (text,) = texts(ORDER)
    for wanted in (
        "Order confirmation", "Gannet Rock Boards", "Harbour Road 4", "8390 Skarvika",
        "+46 8 465 004 99", "Mon to Fri 9 to 17", "Order O-331",
        "3 February 2025", "Printed 4 February 2025, 10:15",
        "Signe Łukasz-Ødegård", "signe@example.com", "B-1042", "B-1043",
        BOARD.dims, "Squash", "Two-plug, thruster", "4 oz", "€ 745.00",
        "Promised Friday 14 March 2025", "No date promised yet", "Delivery", "€ 40.00",
        "Total", "€ 1,530.00", "Deposit asked", "Deposit, 3 Feb 2025", "€ 500.00",
        "Balance to pay", "€ 1,030.00",
        "Ask for Óscar & “Mia” <counter>.", "A deposit of a third starts the work.",
        "Customer: Signe", "For Gannet Rock Boards", "Page 1 of 1",
    ):  # fmt: skip
        assert wanted in text, wanted
    assert text.count("Date") == 2


def test_no_terms_are_invented():
    (text,) = texts(replace(ORDER, terms="", notes=""))
    assert "Terms" not in text
    assert "Notes" not in text


def test_a_large_order_runs_over_pages_and_keeps_every_board():
    boards = [replace(BOARD, title=f"Board B-2{n:03d}") for n in range(24)]
    pages = texts(replace(ORDER, boards=boards, terms="One sentence more. " * 200))
    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in page
        assert "Order O-331" in page
    whole = "".join(pages)
    for board in boards:
        assert whole.count(board.title) == 1
    assert whole.count("sentence") == 200
    assert "Balance to pay" in whole


def test_long_words_stay_on_the_paper():
    long = replace(
        BOARD,
        lines=[("Remark", "y" * 300), ("A label of some length indeed, and more", "Ő" * 80)],
        dims="10'11 15/16\" x 24 31/32 x 4 15/16, 123.4 L, finished size, not shaped size",
        outline=(),
    )
    document = pdfium.PdfDocument(confirmation_pdf(replace(ORDER, boards=[long])))
    letters = 0
    for page in document:
        wide, high = page.get_size()
        text = page.get_textpage()
        letters += text.get_text_range().count("y")
        for number in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(number)
            assert left > 40 and right < wide - 40 and bottom > 20 and top < high - 30
    assert letters >= 300


def test_the_square_on_the_paper_opens_the_riders_page():
    follow = "https://shop.example/r/mac28s8utbVqFzdmuuomDw/"
    boards = [replace(BOARD, follow=follow), replace(BOARD, follow="")]
    (page,) = pdfium.PdfDocument(confirmation_pdf(replace(ORDER, boards=boards)))
    codes = zxingcpp.read_barcodes(page.render(scale=200 / 72).to_pil())
    assert [code.text for code in codes] == [follow]
    assert page.get_textpage().get_text_range().count("scan the square") == 1
