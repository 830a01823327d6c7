"""What can be fetched of a spec revision, and what it is called."""

import pypdfium2 as pdfium
import pytest
from django.test import Client
from django.urls import reverse

from orders.factory.models import Factory


@pytest.fixture
def shaper(world) -> Client:
    client = Client()
    client.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    return client


def test_the_shaper_prints_a_template_in_the_factorys_own_unit(shaper, world):
    board = world.ordered()
    Factory.objects.update(length_unit="mm")
    page = reverse("spec-template", args=[board.spec.pk])
    answer = shaper.get(page, {"paper": "letter"})
    assert answer["Content-Type"] == "application/pdf"
    text = pdfium.PdfDocument(answer.content)[0].get_textpage().get_text_range()
    assert f"Board {board.number}, revision 1" in text
    assert "Tail 1 ft: 368.3 mm" in text
    assert shaper.get(page).status_code == 200
    assert shaper.get(page, {"paper": "long"}).status_code == 200
    assert shaper.get(page, {"paper": "a3"}).status_code == 404


@pytest.mark.parametrize(("name", "start"), [("spec-dxf", b"  0\n"), ("spec-svg", b"<svg ")])
def test_files_for_the_machine_are_named_after_board_and_revision(shaper, world, name, start):
    board = world.ordered()
    answer = shaper.get(reverse(name, args=[board.spec.pk]))
    assert answer.content.replace(b"\r", b"").startswith(start)
    ending = name.removeprefix("spec-")
    assert answer["Content-Disposition"] == (
        f'attachment; filename="board-{board.number}-revision-1.{ending}"'
    )
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_numbers_no_board_can_have_give_no_paper(shaper, world):
    spec = world.ordered().spec
    spec.pk, spec.number, spec.nose_nm = None, 2, spec.width_nm + 1
    spec.save()
    for name in ("spec-template", "spec-dxf", "spec-svg"):
        assert shaper.get(reverse(name, args=[spec.pk])).status_code == 404
