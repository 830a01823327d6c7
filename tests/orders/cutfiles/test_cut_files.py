"""Cut files at the desk: kept byte for byte, compared, and in the way of a board that differs."""

from datetime import timedelta

import pypdfium2 as pdfium
import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from orders.cutfiles import actions
from orders.cutfiles.actions import acknowledge, add_cut_file, set_aside
from orders.cutfiles.compare import compare_outline
from orders.cutfiles.models import MOST_BYTES, CutFile
from orders.cutfiles.reading import read_outline
from orders.factory.models import Factory
from orders.shape.dxf import board_dxf, board_svg_to_scale
from orders.shape.units import parse_length
from orders.specs.actions import add_revision
from orders.specs.drawing import shape_of
from stages.floor.actions import ReleaseRefused, release_board, release_boards
from stages.floor.papers import print_tickets
from tests.world import MONDAY

pytestmark = pytest.mark.postgresql

LATER = MONDAY + timedelta(hours=1)


def desk(person) -> Client:
    client = Client()
    client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
    return client


@pytest.fixture(autouse=True)
def in_this_process(monkeypatch):
    """To start another takes a second; test_process.py does."""

    def compare(name, content, numbers):
        return compare_outline(read_outline(name, content), numbers)

    monkeypatch.setattr(actions, "compare_apart", compare)


@pytest.fixture
def counter(world) -> Client:
    return desk(world.cleo)


def right_file(board) -> bytes:
    return board_dxf(shape_of(board.spec), fin_setup=board.spec.fin_setup)


def wrong_file(world) -> bytes:
    """Cut from another board's numbers: half an inch wider, so a quarter inch off each rail."""
    wide = world.ordered(width_nm=parse_length("20"))
    return board_dxf(shape_of(wide.spec))


def added(world, board, content, name="board.dxf") -> CutFile:
    return add_cut_file(revision=board.spec, name=name, content=content, by=world.cleo, at=MONDAY)


def upload(client, spec, content, name="board.dxf"):
    return client.post(
        reverse("add-cut-file", args=[spec.pk]), {"file": SimpleUploadedFile(name, content)}
    )


def test_a_file_comes_back_as_the_very_bytes_that_came(counter, world):
    board = world.ordered()
    content = bytes(range(256)) * 40 + b"\r\n\x00\x1a"
    answer = upload(counter, board.spec, content, "Åses «fisk».cnc")
    assert answer.status_code == 302
    file = CutFile.objects.get()
    assert file.name == "Åses «fisk».cnc" and file.size == len(content)
    back = desk(world.inka).get(reverse("cut-file", args=[file.pk]))
    assert back.content == content
    assert back["Content-Disposition"].startswith("attachment; filename*=utf-8''%C3%85ses")
    assert back["X-Content-Type-Options"] == "nosniff"
    assert back["Content-Type"] == "application/octet-stream"


def test_what_cannot_be_read_is_kept_and_says_that_it_was_not_compared(counter, world):
    board = world.ordered()
    for name, content in (("a.dxf", b"rubbish"), ("toolpath.nc", b"G0 X0"), ("b.svg", b"<svg")):
        upload(counter, board.spec, content, name)
    assert list(CutFile.objects.values_list("mismatch_mm", flat=True)) == [None] * 3
    page = counter.get(reverse("cut-files", args=[board.spec.pk])).content.decode()
    assert page.count("Not compared.") == 3
    assert "could not be read as DXF" in page and "Only DXF and SVG" in page
    release_board(board=board, by=world.cleo, at=LATER)


def test_the_boards_own_outline_fits_and_is_released(counter, world):
    board = world.ordered()
    upload(counter, board.spec, right_file(board))
    upload(counter, board.spec, board_svg_to_scale(shape_of(board.spec)), "board.svg")
    assert all(off < 0.1 for off in CutFile.objects.values_list("mismatch_mm", flat=True))
    page = counter.get(reverse("cut-files", args=[board.spec.pk])).content.decode()
    assert "0.0 mm off" in page and "May be used" not in page
    release_board(board=board, by=world.cleo, at=LATER)


def test_a_file_for_another_board_holds_the_release_until_someone_says_why(counter, world):
    board = world.ordered()
    file = added(world, board, wrong_file(world), "too-wide.dxf")
    assert file.mismatch_mm == pytest.approx(25.4 / 4, abs=0.1)
    with pytest.raises(ValidationError, match=r"too-wide.dxf lies 6\.\d mm off .*2 mm is allowed"):
        release_board(board=board, by=world.cleo, at=LATER)
    with pytest.raises(ReleaseRefused, match="too-wide.dxf"):
        release_boards(choices=[(board, world.route)], by=world.cleo, at=LATER)
    use = reverse("use-cut-file", args=[file.pk])
    empty = counter.post(use, {f"file-{file.pk}-why": "  "})
    assert empty.status_code == 422 and "Fill this in." in empty.content.decode()
    counter.post(use, {f"file-{file.pk}-why": "Left wide: hand shaped to the line"})
    file.refresh_from_db()
    assert (file.acknowledged_by, file.acknowledged_why) == (
        world.cleo, "Left wide: hand shaped to the line",
    )  # fmt: skip
    release_board(board=board, by=world.cleo, at=LATER)
    page = counter.get(reverse("cut-files", args=[board.spec.pk])).content.decode()
    assert "hand shaped to the line" in page


def test_the_first_reason_stands(world):
    board = world.ordered()
    file = added(world, board, wrong_file(world))
    acknowledge(file=file, why="known", by=world.cleo, at=MONDAY)
    assert acknowledge(file=file, why="other", by=world.mara, at=LATER).acknowledged_why == "known"
    with pytest.raises(ValidationError):
        acknowledge(file=file, why=" ", by=world.cleo, at=MONDAY)


def test_a_file_set_aside_is_out_of_the_way_but_kept(counter, world):
    board = world.ordered()
    content = wrong_file(world)
    file = added(world, board, content, "old.dxf")
    counter.post(reverse("set-aside-cut-file", args=[file.pk]))
    release_board(board=board, by=world.cleo, at=LATER)
    assert counter.get(reverse("cut-file", args=[file.pk])).content == content
    text = pdfium.PdfDocument(print_tickets([board.number]))[0].get_textpage().get_text_range()
    assert "old.dxf" not in text
    assert added(world, board, content).pk != file.pk, "it can be brought back by adding it again"


def test_the_tolerance_is_the_factorys(world):
    board = world.ordered()
    added(world, board, wrong_file(world))
    factory = Factory.objects.get()
    factory.cut_tolerance_mm = 7
    factory.save()
    release_board(board=board, by=world.cleo, at=LATER)


def test_the_files_name_is_on_the_ticket(world):
    board, other = world.ordered(), world.ordered()
    added(world, board, right_file(board), "fish-54.dxf")
    for one in (board, other):
        release_board(board=one, by=world.cleo, at=LATER)
    pages = pdfium.PdfDocument(print_tickets([board.number, other.number]))
    texts = [page.get_textpage().get_text_range() for page in pages]
    assert "Cut from the file fish-54.dxf" in texts[0]
    assert "fish-54" not in texts[1]


def test_the_same_bytes_twice_are_one_file(world):
    board = world.ordered()
    once = added(world, board, b"G0 X0", "a.nc")
    assert added(world, board, b"G0 X0", "b.nc") == once
    other = world.ordered()
    assert added(world, other, b"G0 X0", "a.nc") != once


def test_new_numbers_want_a_new_file(counter, world):
    board = world.ordered()
    file = added(world, board, wrong_file(world), "first.dxf")
    old = board.spec
    values = world.spec(width_nm=parse_length("20"))
    add_revision(board=board, values=values, by=world.cleo, at=LATER, reason="Wider")
    board.refresh_from_db()
    page = counter.get(reverse("cut-files", args=[board.spec.pk])).content.decode()
    assert "no longer the numbers that stand" in page and "first.dxf" in page
    assert "Go to the numbers that stand now" in (
        counter.get(reverse("cut-files", args=[old.pk])).content.decode()
    )
    release_board(board=board, by=world.cleo, at=LATER)  # first.dxf is of the older numbers
    assert file.revision == old


def test_the_crew_reads_and_fetches_but_does_not_add(world):
    board, inka = world.ordered(), desk(world.inka)
    added(world, board, wrong_file(world), "a.dxf")
    page = inka.get(reverse("cut-files", args=[board.spec.pk])).content.decode()
    assert "a.dxf" in page and "<input type=\"file\"" not in page
    assert "must say why it may be used" in page
    assert upload(inka, board.spec, b"x").status_code == 403


def test_too_large_or_empty_is_refused_beside_the_field(counter, world):
    spec = world.ordered().spec
    for content, words in ((b"", "empty"), (b"x" * (MOST_BYTES + 1), "20 MB is the most")):
        answer = upload(counter, spec, content)
        assert answer.status_code == 422 and words in answer.content.decode()
    assert not CutFile.objects.exists()
    assert counter.post(reverse("add-cut-file", args=[spec.pk])).status_code == 422


def test_the_database_keeps_no_second_copy_and_no_empty_file(world):
    board = world.ordered()
    added(world, board, b"G0", "a.nc")
    kept = CutFile.objects.get()
    for wrong in ({"size": 0, "sha256": "0"}, {}):
        copy = CutFile.objects.get()
        copy.pk = None
        for name, value in wrong.items():
            setattr(copy, name, value)
        with pytest.raises(IntegrityError), transaction.atomic():
            copy.save()
    set_aside(file=kept, by=world.cleo, at=LATER)


@pytest.mark.parametrize(("given", "kept"), [
    ("../../etc/passwd", "....etcpasswd"),
    ('a"b\r\n.dxf', "ab.dxf"),
    ("\x00", "cut file"),
    ("x" * 300 + ".dxf", "x" * 196 + ".dxf"),
])
def test_names_hold_nothing_a_name_should_not(world, given, kept):
    assert added(world, world.ordered(), b"G0", given).name == kept


def test_the_manager_sets_how_far_a_file_may_be_off(world):
    mara, page = desk(world.mara), reverse("factory")
    typed = {"name": "Gannet Rock Boards", "time_zone": "Europe/Oslo", "currency": "EUR",
             "length_unit": "in", "phone_region": "NO", "cut_tolerance_mm": "0.5"}
    assert mara.post(page, {**typed, "cut_tolerance_mm": "0"}).status_code == 422
    assert mara.post(page, typed).status_code == 302
    board = world.ordered()
    wider = world.ordered(width_nm=board.spec.width_nm + 2_000_000)  # a millimetre each rail
    added(world, board, board_dxf(shape_of(wider.spec)))
    with pytest.raises(ValidationError, match="0.5 mm is allowed"):
        release_board(board=board, by=world.cleo, at=LATER)


def test_reading_what_files_there_are_never_reads_what_they_hold(
    counter, world, django_assert_max_num_queries
):
    board = world.ordered()
    for number in range(5):
        added(world, board, bytes([number]) * 50_000, f"{number}.nc")
    with django_assert_max_num_queries(12) as queries:
        counter.get(reverse("cut-files", args=[board.spec.pk]))
    assert not any('"content"' in query["sql"] for query in queries)
