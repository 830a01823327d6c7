"""The board's record: one page, from the log as it stands, for the desk and for the rider."""

import io
import uuid
from datetime import timedelta

import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
import pytest
import zxingcpp
from django.test import Client
from django.urls import reverse

from orders.factory.models import Factory
from orders.orderbook.models import Board
from orders.shape.units import parse_length
from stages.floor.actions import hand_over
from stages.log.fold import Kind
from stages.photos.files import keep
from stages.photos.models import Photo
from stages.photos.pictures import redrawn
from stages.quality.models import QualityRules
from stages.quality.record import record_of
from stages.quality.record_pdf import record_pdf
from tests.stages.photos.making import picture
from tests.stages.quality.conftest import client_of

pytestmark = pytest.mark.django_db


def pdf_of(qc, by=None):
    return client_of(by or qc.world.cleo).get(reverse("board-record", args=[qc.board.number]))


def text_of(content: bytes) -> str:
    document = pdfium.PdfDocument(io.BytesIO(content))
    assert len(document) == 1
    return document[0].get_textpage().get_text_range().replace("\r\n", "\n")


def test_passing_makes_the_record_with_what_was_measured(at_qc):
    qc = at_qc()
    assert pdf_of(qc).status_code == 404
    qc.pass_(width_nm="19 9/16", mass="2.44 kg")
    answer = pdf_of(qc)
    assert answer["Content-Type"] == "application/pdf"
    text = text_of(answer.content)
    for words in (
        "Gannet Rock Boards", "Skarvika", f"Board {qc.board.number}", "19 9/16", "19 1/2",
        "as ordered",
        "2.44 kg", "Grade", "First", "Ordered", "Mon 2 Mar 2026", "Passed", "Tue 3 Mar 2026",
        "Polyurethane", "4 + 4 oz", "Keep it out of the sun",
    ):  # fmt: skip
        assert words in text, words


def test_it_names_nobody_unless_the_factory_wants_first_names(at_qc, world):
    world.quin.name = "Quin Haaland"
    world.quin.save()
    qc = at_qc()
    qc.pass_()
    told = ("Quin", "Inka", "Åse", "Tangvær")
    text = text_of(pdf_of(qc).content)
    assert not [name for name in told if name in text]
    QualityRules(pk=1, name_hands=True).save()
    text = text_of(pdf_of(qc).content)
    assert "Inka" in text
    assert "Quin" in text
    assert not [name for name in ("Haaland", "Åse", "Tangvær") if name in text]


def test_what_was_taken_all_the_same_stands_in_words_without_who_said_so(at_qc):
    qc = at_qc()
    qc.pass_(
        width_nm="19 3/4",
        **{"how-width_nm": "word", "who-width_nm": "Åse", "on-width_nm": "2026-03-03",
           "check-finish": "bad", "how-check-finish": "second", "note": "A mark by the left rail"},
    )  # fmt: skip
    text = text_of(pdf_of(qc).content)
    assert "Width: 19 3/4 instead of 19 1/2; the customer said yes." in text
    assert "Finish: not right, graded a second." in text
    assert "A mark by the left rail" in text
    assert "Second" in text
    assert "Åse" not in text


def test_the_same_state_gives_the_same_bytes_whenever_it_is_asked(at_qc, clock):
    qc = at_qc()
    qc.pass_()
    first = pdf_of(qc).content
    clock.shift(timedelta(days=400))
    assert pdf_of(qc).content == first


def test_sent_back_and_passed_again_it_is_the_record_of_the_latest(at_qc, world, clock):
    qc = at_qc()
    qc.pass_(mass="2.11 kg")
    clock.shift(timedelta(minutes=5))
    world.log(
        qc.board, Kind.SENT_BACK, world.mara, qc.now, payload={"to": 3, "defect": "pinholes"}
    )
    assert pdf_of(qc).status_code == 404
    at = world.worked(qc.board, until="QC", start=qc.now)
    clock.move_to(at + timedelta(hours=2))
    qc.take()
    qc.pass_(mass="2.22 kg")
    text = text_of(pdf_of(qc).content)
    assert "2.22 kg" in text
    assert "2.11 kg" not in text


def test_a_pass_that_was_undone_is_no_record(at_qc, world, clock):
    qc = at_qc()
    qc.pass_(mass="2.11 kg")
    entry = qc.board.entries.get(kind=Kind.PASSED)
    clock.shift(timedelta(seconds=20))
    world.log(qc.board, Kind.UNDONE, world.quin, qc.now, payload={"ref": str(entry.ref)})
    assert pdf_of(qc).status_code == 404
    qc.pass_(mass="2.22 kg")
    assert "2.22 kg" in text_of(pdf_of(qc).content)


def test_a_pass_from_paper_makes_a_record_without_measured_numbers(world):
    board = world.released()
    world.worked(board, until="rack")
    text = text_of(client_of(world.cleo).get(reverse("board-record", args=[board.number])).content)
    assert "Measured" not in text
    assert "4 + 4 oz" in text


def test_the_rider_sees_it_only_once_the_board_has_passed(at_qc):
    qc, rider = at_qc(), Client()
    page, pdf = (reverse(name, args=[qc.board.rider_token]) for name in ("rider", "rider-record"))
    assert pdf not in rider.get(page).content.decode()
    assert rider.get(pdf).status_code == 404
    qc.pass_()
    assert pdf in rider.get(page).content.decode()
    answer = rider.get(pdf)
    assert answer.status_code == 200
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    hand_over(board=Board.objects.get(pk=qc.board.pk), by=qc.world.cleo, at=qc.now)
    assert rider.get(pdf).status_code == 200
    assert rider.get(reverse("rider-record", args=["no-such-token"])).status_code == 404


def test_the_square_on_it_opens_the_riders_page(at_qc, settings):
    settings.PUBLIC_ADDRESS = "https://boards.gannetrock.example"
    qc = at_qc()
    qc.pass_()
    page = pdfium.PdfDocument(io.BytesIO(pdf_of(qc).content))[0]
    codes = zxingcpp.read_barcodes(page.render(scale=200 / 72).to_pil())
    assert [code.text for code in codes] == [
        f"https://boards.gannetrock.example/r/{qc.board.rider_token}/"
    ]


def photo_of(qc, *, shown: bool, size=(1200, 900)):
    jpeg = redrawn(io.BytesIO(picture(size)))
    made = Photo.objects.create(
        ref=uuid.uuid4(), board=qc.board, by=qc.world.quin, taken_at=qc.now, received_at=qc.now,
        for_rider=shown, width=jpeg.width, height=jpeg.height,
    )  # fmt: skip
    keep(made.ref, jpeg)


def pictures_in(content: bytes) -> int:
    page = pdfium.PdfDocument(io.BytesIO(content))[0]
    return len(list(page.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_IMAGE])))


def test_photographs_marked_for_the_rider_are_on_it_and_no_others(at_qc, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    qc = at_qc()
    qc.pass_()
    photo_of(qc, shown=False)
    assert pictures_in(pdf_of(qc).content) == 0
    for size in ((1200, 900), (900, 1200), (1600, 400), (800, 800)):
        photo_of(qc, shown=True, size=size)
    content = pdf_of(qc).content
    assert pictures_in(content) == 3
    assert pdf_of(qc).content == content
    assert "Keep it out of the sun" in text_of(content)


LONG = "Resin tint from sea green over grey to clear, cut laps, a pinline of 1/4 in, Łódź ☮ 海 " * 4


def longest(world, at_qc):
    """Every number there can be, every name as long as it may be."""
    eighth = parse_length("1/8")
    more = {
        "wide_point_nm": -eighth * 5, "tail_end_nm": parse_length("6"),
        "nose_rocker_nm": parse_length("4 7/8"), "nose_rocker_foot_nm": parse_length("1 5/8"),
        "tail_rocker_nm": parse_length("2 3/8"), "tail_rocker_foot_nm": parse_length("3/4"),
        "nose_thickness_nm": parse_length("1 1/2"), "tail_thickness_nm": parse_length("1 5/8"),
        "left_tail_nm": parse_length("14 3/8"), "left_tail_end_nm": parse_length("5 7/8"),
        "left_wide_point_nm": -eighth * 3, "left_shorter_nm": parse_length("1/2"),
        "left_tail_shape": "squash",
        "fin_setup": "four_fin", "colour": LONG.strip(),
        "deck_cloth": "6 oz E + 4 oz S, both free lapped", "bottom_cloth": "6 + 4 oz",
        "fin_marks": {"front": {"up_nm": parse_length("11"), "in_nm": parse_length("1 1/4"),
                                "toe_nm": parse_length("1/4")},
                      "rear": {"up_nm": parse_length("5 1/2"), "in_nm": parse_length("1 3/4"),
                               "toe_nm": parse_length("1/8")},
                      "plug": {"up_nm": parse_length("3"), "off_nm": parse_length("1")}},
    }  # fmt: skip
    for person in (world.inka, world.bo, world.sela, world.quin):
        person.name = "Bartholomew-Maximilian " + person.name
        person.save()
    factory = Factory.objects.get(pk=1)
    factory.name = "Gannet Rock and Skarvika Surfboard Manufacturing Company of the Western Isles"
    factory.save()
    QualityRules(pk=1, name_hands=True).save()
    qc = at_qc(**more)
    off = {}
    for name in ("width_nm", "nose_nm", "tail_nm"):
        off |= {name: "13 3/4", f"how-{name}": "word", f"who-{name}": "x" * 80,
                f"on-{name}": "2026-03-03"}  # fmt: skip
    for name in ("rails", "finish", "pinholes", "plug", "boxes"):
        off |= {f"check-{name}": "bad", f"how-check-{name}": "second"}
    answer = qc.pass_(mass="2.5 kg", note="W" * 300, **off)
    assert answer.status_code == 303, answer.content.decode()
    return qc, factory


def test_the_longest_words_and_every_number_stay_on_one_page(world, at_qc):
    qc, factory = longest(world, at_qc)
    board = Board.objects.select_related("order", "position", "spec__design_version").get(
        pk=qc.board.pk
    )
    text = text_of(record_pdf(record_of(board)))
    flat = " ".join(text.split())
    for words in (factory.name, "Left wide point", "Rear fin, toe-in", "13 3/4",
                  "Bartholomew", "Fin screws hand-tight"):  # fmt: skip
        assert words in flat, words
    assert flat.replace(" ", "").count("W") >= 300
