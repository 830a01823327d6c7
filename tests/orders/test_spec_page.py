"""A spec's page: the drawing and the numbers of one revision, for whoever works on the board."""

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from orders.factory.models import Factory
from orders.specs.actions import add_revision
from orders.specs.sketch import redrawn, sketch_of
from tests.world import MONDAY

pytestmark = pytest.mark.django_db

BACKEND = "orders.accounts.backends.PasswordBackend"


def opened(person, spec):
    client = Client()
    client.force_login(person, backend=BACKEND)
    return client.get(reverse("spec", args=[spec.pk]))


def test_the_order_leads_to_the_numbers_and_the_drawing_of_each_board(world):
    board = world.ordered()
    client = Client()
    client.force_login(world.cleo, backend=BACKEND)
    page = client.get(reverse("order", args=[board.order.number])).content.decode()
    assert reverse("spec", args=[board.spec_id]) in page


def test_a_glasser_reads_the_numbers_but_is_led_to_no_page_of_the_counter(world):
    board = world.ordered()
    page = opened(world.bo, board.spec)
    assert page.status_code == 200 and b"6&#x27;2" in page.content
    assert reverse("order", args=[board.order.number]).encode() not in page.content


def test_the_page_tells_stations_area_litres_and_what_was_assumed(world):
    spec = world.ordered(nose_rocker_nm=127_000_000, stated_ml=31_500).spec
    answer = opened(world.bo, spec)
    page = answer.content.decode()
    measures = answer.context["measures"]
    rows = {row.name: row for row in measures.stations}
    assert [rows["Nose 1 ft"].width, rows["Tail 1 ft"].width] == ['11 3/4"', '14 1/2"']
    assert rows["Nose"].rocker == '5"' and rows["Middle"].thickness == '2 7/16"'
    assert measures.stations[0].name == "Nose" and measures.stations[-1].name == "Tail"
    named = dict(measures.assumed)
    assert "Tail rocker" in named and "Nose rocker" not in named
    assert page.count("<svg") == 4 and "31.5 L" in page and measures.area in page
    grams = answer.context["mass"].grams
    assert 2000 < grams.low < grams.usual < grams.high < 5000 and "Glassed it will weigh" in page


def test_a_metric_factory_reads_its_stations_in_millimetres(world):
    Factory.objects.update(length_unit="mm")
    cache.clear()
    measures = opened(world.bo, world.ordered().spec).context["measures"]
    assert all(row.width.endswith(" mm") for row in measures.stations)
    assert measures.area.endswith(" m²")


def test_older_numbers_say_so_and_lead_to_those_that_stand(world):
    board = world.ordered()
    first = board.spec
    second = add_revision(board=board, values={"nose_nm": 292_100_000}, by=world.cleo, at=MONDAY)
    page = opened(world.mara, first).content.decode()
    assert "older numbers" in page and reverse("spec", args=[second.pk]) in page
    assert "older numbers" not in opened(world.mara, second).content.decode()


def test_a_drawing_sent_back_is_the_one_that_was_shown(world):
    spec = world.ordered(
        stringer="double", left_shorter_nm=25_400_000, left_tail_shape="round",
        wide_point_nm=-12_700_000, tail_rocker_nm=60_000_000, rail="low", art="Rail fade in red",
    ).spec  # fmt: skip
    shown = sketch_of(spec)
    again = redrawn(shown.drawn)
    assert again.drawing == shown.drawing and again.litres == shown.litres and again.stale
    assert len(shown.drawn) < 2000


@pytest.mark.parametrize("text", [
    "", "x", "[]", "{}", '{"pk": 1}', '{"length_nm": "74"}', '{"length_nm": 1e400}',
    '{"length_nm": 1' + "0" * 400 + ', "width_nm": 1, "thickness_nm": 1}',
    '{"length_nm": 1879600000, "width_nm": 495300000, "thickness_nm": 61000000, "rail": []}',
    '{"length_nm": 1879600000, "width_nm": 495300000, "thickness_nm": 61000000, "rail": "x"}',
])  # fmt: skip
def test_a_drawing_that_was_never_shown_is_none(world, text):
    assert redrawn(text) is None


def test_a_cloth_schedule_that_nobody_can_read_leaves_the_weight_out(world):
    answer = opened(world.bo, world.ordered(deck_cloth="as last time").spec)
    assert answer.context["mass"] is None and b"will weigh" not in answer.content
