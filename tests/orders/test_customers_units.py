"""What a customer reads and signs is in their own unit, with the shaper's fractions and the
litres; and no number in a wrong unit becomes a board."""

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from orders.blanks.models import station_problems
from orders.factory.models import Factory
from orders.orderbook.confirm import confirmation_of
from orders.resins.forms import RollWidthsField
from orders.shape.fractions import as_fractions, dims_as_fractions
from orders.shape.units import NM_PER_INCH, NM_PER_MM, parse_length
from orders.specs.fields import LengthField
from tests.orders.test_order_form import NEW, typed
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def metric_shop(world):
    Factory.objects.update(length_unit="mm")
    cache.clear()


# 1 in = 25.4 mm (NIST SP 811); 495 mm = 19.488 in, nearest 32nd 19 1/2 (19.5 in).
@pytest.mark.parametrize(("text", "said"), [
    ("19 1/2", '19 1/2"'), ("495 mm", '≈ 19 1/2"'), ("62 mm", '≈ 2 7/16"'),
])  # fmt: skip
def test_a_length_is_said_in_the_nearest_32nd_and_marked_where_that_is_not_exact(text, said):
    assert as_fractions(parse_length(text)) == said


def test_a_metric_customer_reads_and_signs_millimetres_beside_the_fractions(client, world):
    board = world.ordered()
    plain = confirmation_of(board.order, at=MONDAY).boards[0]
    assert plain.dims == "6'2\" x 19 1/2 x 2 7/16"
    world.rider.length_unit = "mm"
    world.rider.save()
    board.order.refresh_from_db()
    paper = confirmation_of(board.order, at=MONDAY).boards[0]
    assert paper.dims == "1879.6 x 495.3 x 61.9 mm (6'2\" x 19 1/2 x 2 7/16)"
    lines = dict(paper.lines)
    assert lines["Nose width"] == '298.4 mm (11 3/4")'
    assert lines["Volume"].endswith(" L")
    body = client.get(reverse("rider", args=[board.rider_token])).content.decode()
    assert "1879.6 x 495.3 x 61.9 mm" in body and lines["Volume"] in body


def test_the_counter_sees_a_metric_customers_order_as_the_customer_does(counter, world):
    board = world.ordered()
    world.rider.length_unit = "cm"
    world.rider.save()
    both = "187.96 x 49.53 x 6.19 cm (6&#x27;2&quot; x 19 1/2 x 2 7/16)"
    spec = reverse("spec", args=[board.spec_id])
    for path in (
        reverse("order", args=[board.order.number]), reverse("customer", args=[world.rider.pk]),
        reverse("alike-boards", args=[board.number]), spec,
        reverse("change-board", args=[board.number]),
        reverse("new-order") + f"?same_as={board.spec_id}",
    ):  # fmt: skip
        assert both in counter.get(path).content.decode(), path
    drawn = counter.post(reverse("draw-board"), typed(world, customer=str(world.rider.pk)))
    assert both in drawn.content.decode()
    drawn = counter.post(reverse("draw-board"), typed(world, customer="new", length_unit="mm"))
    assert "1879.6 x 495.3 x 61.9 mm" in drawn.content.decode()
    bay = Client()
    bay.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    assert "cm (" not in bay.get(spec).content.decode()


def test_a_customer_of_inches_reads_inches_in_a_metric_shop(world, metric_shop):
    board = world.ordered()
    shops = confirmation_of(board.order, at=MONDAY).boards[0]
    assert shops.dims.endswith(" mm (6'2\" x 19 1/2 x 2 7/16)")
    world.rider.length_unit = "in"
    world.rider.save()
    board.order.refresh_from_db()
    paper = confirmation_of(board.order, at=MONDAY).boards[0]
    assert paper.dims == dims_as_fractions(
        board.spec.length_nm, board.spec.width_nm, board.spec.thickness_nm
    )


def test_a_shop_in_millimetres_reads_a_bare_number_as_millimetres(counter, world, metric_shop):
    assert LengthField(bare="in").clean("495") == 495 * NM_PER_MM
    assert LengthField(bare="ft").clean("1880") == 1880 * NM_PER_MM
    assert RollWidthsField().clean("685, 760") == [685 * NM_PER_MM, 760 * NM_PER_MM]
    page = counter.post(NEW, typed(world, length_nm="1880", width_nm="495", thickness_nm="62"))
    assert page.status_code == 302


@pytest.mark.parametrize(("field", "text"), [
    ("width_nm", "495"), ("thickness_nm", "62"), ("length_nm", "1880 in"),
    ("nose_rocker_nm", "120"),
])  # fmt: skip
def test_a_number_in_a_wrong_unit_is_refused_whatever_is_ticked(counter, world, field, text):
    page = counter.post(NEW, typed(world, **{field: text}))
    form = page.context["form"]
    assert field in form.errors and form.sketch() is None
    ticked = counter.post(NEW, typed(world, **{field: text}, confirmed="on"))
    assert field in ticked.context["form"].errors


def test_a_blank_in_a_wrong_unit_is_none():
    rows = [
        {"x_nm": x, "width_nm": parse_length("20"), "thickness_nm": parse_length("3"),
         "rocker_nm": 0}
        for x in (0, parse_length("40"), parse_length("80"))
    ]  # fmt: skip
    assert station_problems(rows) == []
    rows[1]["width_nm"] = 495 * NM_PER_INCH
    assert station_problems(rows)


@pytest.mark.parametrize(("field", "amount"), [
    ("price", "850000"), ("deposit", "400000"), ("deposit_paid", "400000"),
])  # fmt: skip
def test_an_amount_a_thousand_times_too_large_is_never_taken_on_one_tick(
    counter, world, field, amount
):
    world.ordered()
    fields = typed(world, **{"price": "850", "deposit": "400", field: amount})
    page = counter.post(NEW, fields)
    holder = page.context["form"] if field == "price" else page.context["terms"]
    assert field in holder.errors
