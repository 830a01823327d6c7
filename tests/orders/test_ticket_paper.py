"""The printed ticket, rendered and read back with the tools a phone would use."""

import io
import math
from collections import Counter
from dataclasses import replace
from itertools import combinations

import pypdfium2 as pdfium
import pytest
import zxingcpp
from PIL import ImageDraw

from orders.tickets import qr
from orders.tickets.code import spaced
from orders.tickets.frame import CODE_SIDE
from orders.tickets.paper import TicketSheet, tickets_pdf
from orders.tickets.typeset import BOLD, REGULAR, fit, width, wrap
from tests.examples import in_long_form

DPI = 150
ADDRESS = "HTTPS://RACK.GANNETROCK.EXAMPLE/T/7K3M9Q4"


def outline(length: float, wide: float, n: int = 100):
    """A plain leaf shape, tail at 0."""
    xs = [length * (1 - math.cos(math.pi * i / n)) / 2 for i in range(n + 1)]
    side = [
        (x, wide / 2 * math.sin(math.pi * x / length) ** 0.6 if 0 < x < length else 0) for x in xs
    ]
    return side + [(x, -y) for x, y in reversed(side)]


GROUPS = [
    (
        "Shaping",
        [
            ("Model", "Harbour fish v3"),
            ("Blank", "6'4\", 20 kg"),
            ("Thickness", "2 7/16"),
            ('Nose 12"', "11 3/4"),
            ('Tail 12"', "14 7/8"),
            ("Tail", 'Squash, 6" wide'),
            ("Rails", "Soft, 60/40"),
            ("Rocker", "Nose 4 7/8, tail 2 3/8"),
            ("Bottom", "Single to double concave"),
        ],
    ),
    ("Fin boxes", [("Set-up", "Thruster"), ("Boxes", "Two-plug, black"), ("Cant", "6°")]),
    ("Glassing", [("Top", "4 + 4 oz"), ("Bottom", "4 oz"), ("Tint", "Clear, blue pinline")]),
    ("Sanding and finish", [("Finish", "Sanded, 400 grit"), ("Logo", "Deck nose")]),
    ("Plug", [("Leash plug", '3" from tail, black')]),
]
SHEET = TicketSheet(
    board_number="B-1042",
    revision=2,
    code="7K3M9Q4",
    address=ADDRESS,
    factory_name="Gannet Rock Boards",
    customer="Signe",
    promised="Friday 14 March",
    dims="6'2\" x 19 1/2 x 2 7/16, 31.2 L",
    groups=GROUPS,
    steps=["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "QC"],
    odd=["Art: two blue bands on the deck", "Rail a touch fuller than last year’s board"],
    outline=outline(1880, 495),
    length_mm=1880,
    width_mm=495,
    cautions=["Dust: mask on, extraction on.", "Hardener: goggles and gloves; never near acetone."],
)
NOTE = "Deck flat as his old board, dome in the last inch; “no logos” below, Łukasz signs it. "
EXTREME = replace(
    SHEET,
    board_number="GRB-2026-00123-REMAKE",
    customer="Bartholomew Featherstonehaugh-Øverlandsfjord (Skarvika Boardriders’ order)",
    factory_name="Gannet Rock Boards and Glassing Works of Skarvika, Northern Workshop",
    dims="10'11 15/16\" x 24 31/32 x 4 15/16, 123.4 L, finished size, not shaped size",
    promised="Wednesday 30 September 2026, before noon (rush)",
    odd=[NOTE * 14, "Glassed on: twin keels, foil 70/30", "x" * 90],
    groups=[(h, [(f"{a} and remarks", f"{b}, as the counter typed it") for a, b in rows])
            for h, rows in GROUPS] + [("Extra", [("Story", NOTE * 9)])],
    steps=["Machine pre-cut", "Shaping by hand", "Fin boxes", "Airbrush and pinlines",
           "Laminating bottom and top", "Hot coat", "Sanding to 220", "Gloss",
           "Wet and dry polish", "Leash plug and deck hardware", "Quality control", "Packing"],
    cautions=SHEET.cautions * 6,
)  # fmt: skip


def pages(*sheets):
    return list(pdfium.PdfDocument(tickets_pdf(sheets)))


def text_of(page) -> str:
    return page.get_textpage().get_text_range().replace("\ufffe", "-").replace("\x02", "-")


def picture(page):
    return page.render(scale=DPI / 72).to_pil().convert("RGB")


def read(image) -> list[str]:
    return [code.text for code in zxingcpp.read_barcodes(image)]


def boxes(image):
    """The two symbols' squares on the picture, top one first: (left, top, right, bottom)."""
    found = []
    for code in zxingcpp.read_barcodes(image):
        spot = code.position
        xs = [p.x for p in (spot.top_left, spot.top_right, spot.bottom_left, spot.bottom_right)]
        ys = [p.y for p in (spot.top_left, spot.top_right, spot.bottom_left, spot.bottom_right)]
        found.append((min(xs), min(ys), max(xs), max(ys)))
    return sorted(found, key=lambda box: box[1])


def test_an_upper_case_address_takes_the_smallest_symbol():
    # ISO/IEC 18004 capacity tables: 28 characters at level H need version 3 (29 modules) in the
    # alphanumeric mode, version 4 (33 modules) as bytes.
    assert len(qr.matrix("HTTPS://EXAMPLE.COM/T/7K3M9Q")) == 29
    assert len(qr.matrix("https://example.com/t/7k3m9q")) == 33
    # Version 3 holds 35 alphanumeric characters at level H and version 4 fifty.
    assert len(qr.matrix("A" * 35)) == 29
    assert len(qr.matrix("A" * 36)) == 33


def test_an_a5_page_with_the_words_the_floor_needs():
    (page,) = pages(SHEET)
    assert page.get_size() == pytest.approx((148 / 25.4 * 72, 210 / 25.4 * 72), abs=0.01)
    text = text_of(page)
    for wanted in ("B-1042", "Spec revision 2", "For Signe", "Promised Friday 14 March", SHEET.dims,
                   "Signed", "Started", "Finished", "last year’s", *SHEET.steps):  # fmt: skip
        assert wanted in text
    assert text.count(spaced(SHEET.code)) == 2
    assert text.index("two blue bands") < text.index("Harbour fish")


def test_both_codes_read_back_from_opposite_corners():
    (page,) = pages(SHEET)
    image = picture(page)
    assert read(image) == [ADDRESS, ADDRESS]
    top, bottom = boxes(image)
    wide, high = image.size
    assert top[0] > wide / 2 and top[3] < high / 2
    assert bottom[2] < wide / 2 and bottom[1] > high / 2
    modules = len(qr.matrix(ADDRESS))
    for box in (top, bottom):
        side = (box[2] - box[0]) / DPI * 25.4  # mm, without the quiet zone
        assert side * (modules + 8) / modules >= 26
    assert CODE_SIDE / 72 * 25.4 >= 26


def test_the_quiet_zones_are_clear_paper():
    for sheet in (SHEET, EXTREME):
        image = picture(pages(sheet)[0]).convert("L")
        module = CODE_SIDE / 72 * DPI / (len(qr.matrix(ADDRESS)) + 8)
        for left, top, right, bottom in boxes(image):
            edge = int(4 * module) - 2
            ring = image.crop((left - edge, top - edge, right + edge, bottom + edge))
            inner = ImageDraw.Draw(ring)
            inner.rectangle(
                (edge - 2, edge - 2, ring.width - edge + 2, ring.height - edge + 2), 255
            )
            assert ring.getextrema() == (255, 255)


@pytest.mark.parametrize("colour", ["black", in_long_form("white"), in_long_form("#8a6a3a")])
def test_a_tenth_blotted_out_clear_of_the_corner_marks_still_reads(colour):
    clean = picture(pages(SHEET)[0])
    modules = len(qr.matrix(ADDRESS))
    blob = math.sqrt(0.1) * modules  # a square of a tenth of the symbol
    tried = 0
    for box in boxes(clean):
        module = (box[2] - box[0]) / modules
        for x in range(0, int(modules - blob), 3):
            for y in range(0, int(modules - blob), 3):
                low, far = x < 8.5, x + blob > modules - 8.5
                up, down = y < 8.5, y + blob > modules - 8.5
                if (low and up) or (far and up) or (low and down):
                    continue  # it would touch a corner mark: the other code is for that
                image = clean.copy()
                spot = [box[0] + x * module, box[1] + y * module]
                spot += [spot[0] + blob * module, spot[1] + blob * module]
                ImageDraw.Draw(image).rectangle(spot, colour)
                assert read(image) == [ADDRESS, ADDRESS], (x, y)
                tried += 1
    assert tried >= 20  # both codes, a grid of places


@pytest.mark.parametrize("ruined", [0, 1])
def test_with_one_code_gone_the_other_reads(ruined):
    image = picture(pages(SHEET)[0])
    ImageDraw.Draw(image).rectangle(boxes(image)[ruined], "#5a4a2a")
    assert read(image) == [ADDRESS]


def test_every_board_has_its_own_page_and_code():
    sheets = [
        replace(SHEET, board_number=f"B-{n}", address=f"HTTPS://RACK.EXAMPLE/T/{n}")
        for n in range(12)
    ]
    printed = pages(*sheets)
    assert len(printed) == 12
    for sheet, page in zip(sheets, printed, strict=True):
        assert set(read(picture(page))) == {sheet.address}
        assert sheet.board_number in text_of(page)


def words(sheet) -> Counter:
    texts = [sheet.board_number, sheet.customer, sheet.factory_name, sheet.dims, sheet.promised]
    texts += [*sheet.odd, *sheet.steps, *sheet.cautions]
    for heading, rows in sheet.groups:
        texts += [heading, *(word for row in rows for word in row)]
    return Counter(" ".join(texts).split())


@pytest.mark.parametrize("sheet", [SHEET, EXTREME], ids=["usual", "extreme"])
def test_nothing_is_left_out(sheet):
    printed = Counter(" ".join(text_of(page) for page in pages(sheet)).split())
    wanted = words(sheet)
    wanted.pop("x" * 90, None)  # one word, broken over lines
    assert not wanted - printed
    broken = sum(
        len(word) * n for word, n in printed.items() if len(word) > 5 and set(word) == {"x"}
    )
    assert broken == (90 if sheet is EXTREME else 0)


@pytest.mark.parametrize(
    "sheet",
    [SHEET, EXTREME, replace(SHEET, steps=EXTREME.steps[:10]), replace(SHEET, odd=EXTREME.odd)],
    ids=["usual", "extreme", "ten steps", "long notes"],
)
def test_no_words_overlap_or_leave_the_page(sheet):
    for page in pages(sheet):
        wide, high = page.get_size()
        text = page.get_textpage()
        # The boxes of the letters themselves, shrunk a hair: accents may graze the line above.
        found = [text.get_rect(i) for i in range(text.count_rects())]
        assert len(found) > 10
        for left, bottom, right, top in found:
            assert left > 14 and bottom > 10 and right < wide - 14 and top < high - 14
        for a, b in combinations(found, 2):
            across = min(a[2], b[2]) - max(a[0], b[0])
            down = min(a[3], b[3]) - max(a[1], b[1])
            assert across < 0.8 or down < 0.8, (
                text.get_text_bounded(*a),
                text.get_text_bounded(*b),
            )


def test_what_does_not_fit_goes_on_to_a_page_that_names_the_board():
    printed = pages(EXTREME)
    assert len(printed) > 1
    for number, page in enumerate(printed, start=1):
        text = text_of(page)
        assert f"Page {number} of {len(printed)}" in text
        assert "Spec revision 2" in text
        assert text.count(spaced(EXTREME.code)) == 2
        assert EXTREME.board_number in text
        assert read(picture(page)) == [ADDRESS, ADDRESS]
    assert "continued on the next page" in text_of(printed[0])


def test_the_usual_board_with_ten_steps_stays_on_one_page():
    assert len(pages(replace(SHEET, steps=EXTREME.steps[:10]))) == 1


def test_letters_of_any_name_and_signs_no_font_has():
    sheet = replace(
        SHEET, customer="Żółć Åsa Ñandú Ő", odd=["Ride “hard” – 🏄 浪 ½ ⅜", "a\u0301\tb"]
    )
    text = text_of(pages(sheet)[0])
    for wanted in ("Żółć Åsa Ñandú Ő", "“hard” –", "[surfer]", "[U+6D6A]", "½ ⅜", "á b"):
        assert wanted in text


def test_a_measure_is_never_parted_from_its_fraction_or_unit():
    for room in range(40, 200, 3):
        for line in wrap("Nose 4 7/8, tail 2 3/8 and 4 oz or 31.2 L", REGULAR, 9, room):
            assert not line.endswith((" 4", " 2", "31.2"))
            assert not line.startswith(("7/8", "3/8", "oz", "L"))


def test_lines_fit_the_room_they_are_given():
    for text in (NOTE * 3, "w" * 70, "Łódź " * 9, "GRB-2026-00123-REMAKE-TWO"):
        for room in (30, 61, 120.5):
            lines = wrap(text, BOLD, 9, room)
            assert all(width(line, BOLD, 9) <= room + 1e-6 for line in lines)
            assert "".join("".join(lines).split()) == "".join(text.split())
    size, lines = fit("B-1042", BOLD, 1000, most=54, least=20)
    assert (size, lines) == (54, ["B-1042"])


def test_the_file_is_small_and_no_sheet_is_refused():
    assert len(tickets_pdf([SHEET] * 20)) / 20 < 12_000
    with pytest.raises(ValueError):
        tickets_pdf([])


def test_the_same_pages_come_as_bytes_a_reader_opens():
    document = pdfium.PdfDocument(io.BytesIO(tickets_pdf([SHEET, replace(SHEET, outline=())])))
    assert len(document) == 2
