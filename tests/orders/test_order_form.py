"""The counter takes a custom order."""

import uuid
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from orders.customers.models import Customer
from orders.designs.actions import add_design, add_version
from orders.factory.models import Factory
from orders.orderbook.models import Board, Order
from orders.shape.units import parse_length
from orders.specs.actions import add_revision
from orders.specs.fields import LengthField
from orders.specs.models import NUMBER_FIELDS
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
SIX_TWO = 74 * 25_400_000
NEW = "/orders/new/"


def typed(world, **changes) -> dict:
    """What the counter types for a plain board of a known rider."""
    return {
        "ref": str(uuid.uuid4()),
        "customer": str(world.rider.pk),
        "length_nm": "6'2",
        "width_nm": "19 1/2",
        "thickness_nm": "2 7/16",
        "tail_shape": "squash",
        "rail": "medium",
        "deck": "domed",
        "bottom": "single_concave",
        "foam": "pu",
        "stringer": "eighth",
        "resin": "polyester",
        "deck_cloth": "4 + 4 oz",
        "bottom_cloth": "4 oz",
        "fin_setup": "three_fin",
        "box_kind": "single_slot",
        "leash_plug": "one",
        "finish": "sanded",
        "kind": "rider",
        **changes,
    }


@pytest.fixture
def skerry(world):
    numbers = {name: value for name, value in world.spec().items() if name in NUMBER_FIELDS}
    return add_design(
        name="Skerry",
        board_class="shortboard",
        note="",
        base_price_cents=78_000,
        numbers={**numbers, "rail": "low"},
        at=MONDAY,
    )


def test_an_order_is_taken_with_its_board_its_price_and_its_deposit(counter, world):
    day = timezone.localdate() + timedelta(days=40)
    page = counter.post(
        NEW,
        typed(
            world,
            price="850",
            deposit="400",
            deposit_paid="400",
            promised_on=day.isoformat(),
            note="Ring first",
            colour="Clear",
        ),
    )
    order = Order.objects.get()
    assert page.url == reverse("order", args=[order.number])
    board = order.boards.select_related("spec").get()
    assert (board.price_cents, board.promised_on) == (85_000, day)
    assert (order.customer, order.taken_by, order.note) == (world.rider, world.cleo, "Ring first")
    assert order.payments.get().amount_cents == 40_000
    assert (board.spec.length_nm, board.spec.colour) == (SIX_TWO, "Clear")
    assert board.spec.silhouette


@pytest.mark.parametrize(
    ("text", "nm"),
    [
        ("6'2", SIX_TWO),
        ("6' 2\"", SIX_TWO),
        ("6-2", SIX_TWO),
        ("188 cm", 1_880_000_000),
        ("1880 mm", 1_880_000_000),
    ],
)
def test_a_length_may_be_written_any_way_the_trade_writes_it(counter, world, text, nm):
    counter.post(NEW, typed(world, length_nm=text))
    assert Board.objects.get().spec.length_nm == nm


@pytest.mark.parametrize(
    ("field", "text", "inches"),
    [("width_nm", "19 1/2", 19.5), ("width_nm", "19.5", 19.5), ("thickness_nm", '2 7/16"', 2.4375)],
)
def test_a_width_or_thickness_may_be_a_fraction_or_a_decimal(counter, world, field, text, inches):
    counter.post(NEW, typed(world, **{field: text}))
    assert getattr(Board.objects.get().spec, field) == int(inches * 25_400_000)


@pytest.mark.parametrize(
    ("field", "text", "why"),
    [("length_nm", "68", "5'8\" or 6'8\""), ("deck_cloth", "4+4/4", "the deck and the bottom")],
)
def test_a_text_that_could_mean_two_things_is_asked_about_beside_its_field(
    counter, world, field, text, why
):
    form = counter.post(NEW, typed(world, **{field: text})).context["form"]
    assert why in form.errors[field][0]
    assert form[field].value() == text
    assert not Board.objects.exists()


def test_cloth_in_the_shops_own_words_is_kept(counter, world):
    """Cloth that the shop has no list of is asked about once, and then kept."""
    as_typed = typed(world, deck_cloth="Volan, as the last one")
    asked = counter.post(NEW, as_typed).context["form"]
    assert "confirmed" in asked.errors
    counter.post(NEW, {**as_typed, "confirmed": asked.sketch().odd_key})
    assert Board.objects.get().spec.deck_cloth == "Volan, as the last one"


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("text", ["6'2", "6'2 7/32", "1880 mm", "188.05 cm", "74.1 in"])
def test_a_kept_length_shown_in_the_form_reads_as_exactly_the_same(world, text, unit):
    factory = Factory.current()
    factory.length_unit = unit
    factory.save()
    nm = parse_length(text, bare="ft")
    bare = "mm" if unit == "mm" else "ft"
    assert parse_length(LengthField(bare="ft").text(nm), bare=bare) == nm


@pytest.mark.parametrize("text", ["6'2\"", '74"', "188 cm", "1880 mm", "1.88 m"])
def test_a_length_is_shown_again_the_way_it_was_typed(counter, world, text):
    counter.post(NEW, typed(world, length_nm=text, width_nm="19.5", nose_nm="298 mm"))
    board = Board.objects.get()
    form = counter.get(reverse("change-board", args=[board.number])).context["form"]
    shown = {name: form[name].value() for name in ("length_nm", "width_nm", "nose_nm")}
    assert shown == {"length_nm": text, "width_nm": "19.5", "nose_nm": "298 mm"}


def test_typing_a_length_another_way_makes_no_new_revision(counter, world):
    counter.post(NEW, typed(world, width_nm="19.5"))
    board = Board.objects.get()
    add_revision(board=board, values={"width_nm": parse_length("19 1/2"),
                                      "written": {"width_nm": "in"}}, by=world.cleo, at=MONDAY)
    assert board.revisions.count() == 1


def test_a_wide_point_may_lie_behind_the_middle_and_a_volume_be_stated(counter, world):
    counter.post(NEW, typed(world, wide_point_nm="-1 1/2", stated_ml="31,5 L"))
    spec = Board.objects.get().spec
    assert (spec.wide_point_nm, spec.stated_ml) == (-38_100_000, 31_500)


def test_what_was_typed_stays_when_a_number_cannot_be_read(counter, world):
    page = counter.post(
        NEW, typed(world, width_nm="19 1/x", colour="Łódź green", customer="new", name="Ole Vik")
    )
    assert page.status_code == 422
    body = page.content.decode()
    assert 'value="19 1/x"' in body
    assert "19 1/x is not a length that can be read" in body
    assert "Łódź green" in body
    assert 'value="Ole Vik"' in body
    assert not Order.objects.exists()
    assert not Customer.objects.filter(name="Ole Vik").exists()


def test_the_keyboard_lands_on_the_first_mistake(counter, world):
    page = counter.post(NEW, typed(world, width_nm="", price="a lot"))
    marked = [line for line in page.content.decode().split("<") if "data-focus" in line]
    assert len(marked) == 1
    assert 'name="width_nm"' in marked[0]


def test_polyester_on_polystyrene_is_refused_beside_the_resin(counter, world):
    page = counter.post(NEW, typed(world, foam="eps", resin="polyester"))
    assert page.status_code == 422
    assert list(page.context["form"].errors) == ["resin"]
    assert "dissolves polystyrene" in page.content.decode()


def test_an_odd_number_gets_a_second_look_and_passes_once_confirmed(counter, world):
    fields = typed(world, thickness_nm="7")
    page = counter.post(NEW, fields)
    assert page.status_code == 422
    assert "A thickness of 7 in is unusual" in page.content.decode()
    key = page.context["form"].sketch().odd_key
    assert counter.post(NEW, {**fields, "confirmed": key}).status_code == 302


def test_a_yes_to_one_odd_number_is_no_yes_to_another(counter, world):
    key = counter.post(NEW, typed(world, thickness_nm="7")).context["form"].sketch().odd_key
    page = counter.post(NEW, typed(world, thickness_nm="8", confirmed=key))
    assert page.status_code == 422
    assert not Order.objects.exists()


def test_a_number_no_board_can_have_is_refused_whatever_is_ticked(counter, world):
    page = counter.post(NEW, typed(world, nose_nm="21", confirmed="x"))
    assert page.status_code == 422
    assert "as wide as the widest point" in page.context["form"].errors["nose_nm"][0]


def test_a_day_gone_by_cannot_be_promised_but_a_sunday_can(counter, world):
    today = timezone.localdate()
    page = counter.post(NEW, typed(world, promised_on=(today - timedelta(days=2)).isoformat()))
    assert "has passed" in page.context["form"].errors["promised_on"][0]
    sunday = today + timedelta(days=7 + 6 - today.weekday())
    assert counter.post(NEW, typed(world, promised_on=sunday.isoformat())).status_code == 302


def test_a_form_sent_twice_takes_one_order(counter, world):
    new = {"customer": "new", "name": "Ole Vik", "email": "ole@example.com"}
    fields = typed(world, **new, deposit_paid="100")
    first, second = counter.post(NEW, fields), counter.post(NEW, fields, follow=True)
    order = Order.objects.get()
    assert first.url == second.redirect_chain[0][0] == reverse("order", args=[order.number])
    assert "nothing was added twice" in second.content.decode()
    assert order.payments.count() == 1
    assert Customer.objects.filter(name="Ole Vik").count() == 1


def test_every_page_opened_is_an_order_of_its_own(counter):
    refs = {counter.get(NEW).context["terms"]["ref"].value() for _ in range(2)}
    assert len(refs) == 2


def test_somebody_known_is_noticed_and_may_be_used(counter, world):
    fields = typed(world, customer="new", name="Aase T", phone="923 45 678")
    page = counter.post(NEW, fields)
    assert page.status_code == 422
    assert page.context["who"].alike == [(world.rider, ["same phone"])]
    assert 'value="Aase T"' in page.content.decode()
    counter.post(NEW, {**fields, "customer": str(world.rider.pk)})
    assert Order.objects.get().customer == world.rider
    assert Customer.objects.count() == 1


def test_somebody_else_of_the_same_name_is_added_once_the_counter_says_so(counter, world):
    fields = typed(world, customer="new", name="ase tangvær", email="other@example.com")
    page = counter.post(NEW, fields)
    who = page.context["who"]
    assert who.alike == [(world.rider, ["same name"])]
    said = {**fields, "customer": "another", "not_these": who.asked_apart}
    assert counter.post(NEW, said).status_code == 302
    assert Order.objects.get().customer != world.rider
    assert Customer.objects.count() == 2


def test_told_apart_from_one_the_counter_is_still_asked_about_another(counter, world):
    fields = typed(world, customer="another", name="Ole Vik", email="ASE@example.com")
    page = counter.post(NEW, {**fields, "not_these": "999"})
    assert page.context["who"].alike == [(world.rider, ["same e-mail"])]


def test_an_order_for_nobody_is_refused(counter, world):
    page = counter.post(NEW, typed(world, customer=""))
    assert page.status_code == 422
    assert "Choose who it is for" in page.content.decode()


def test_a_design_fills_the_numbers_and_stays_linked(counter, world, skerry):
    fields = {"design_version": str(skerry.pk), "colour": "Grey", "price": ""}
    page = counter.post("/orders/fill/", fields)
    form = page.context["form"]
    assert form["length_nm"].value() == "6'2\""
    assert form["rail"].value() == "low"
    assert form["colour"].value() == "Grey"
    assert form["price"].value() == "780.00"
    counter.post(NEW, typed(world, design_version=str(skerry.pk)))
    assert Board.objects.get().spec.design_version == skerry


def test_numbers_typed_by_hand_stay_until_the_design_is_asked_to_fill_them(counter, world, skerry):
    fields = typed(world, design_version=str(skerry.pk), width_nm="20")
    page = counter.post("/orders/fill/", fields)
    assert page.context["form"]["width_nm"].value() == "20"
    assert "The numbers you typed are kept" in page.content.decode()
    page = counter.post("/orders/fill/", {**fields, "fill": "1"})
    assert page.context["form"]["width_nm"].value() == "19 1/2"


def test_another_design_replaces_numbers_that_nobody_touched(counter, world, skerry):
    numbers = {name: getattr(skerry, name) for name in NUMBER_FIELDS}
    wider = {**numbers, "width_nm": parse_length("22")}
    other = add_design(
        name="Herring", board_class="fish", note="", base_price_cents=0, numbers=wider, at=MONDAY
    )
    form = counter.post("/orders/fill/", {"design_version": str(skerry.pk)}).context["form"]
    shown = {name: form[name].value() or "" for name in NUMBER_FIELDS}
    fields = {**shown, "filled_from": str(skerry.pk), "design_version": str(other.pk)}
    page = counter.post("/orders/fill/", fields)
    assert page.context["form"]["width_nm"].value() == "22"


def test_only_the_newest_version_of_a_design_is_offered(counter, skerry):
    numbers = {name: getattr(skerry, name) for name in NUMBER_FIELDS}
    newer = add_version(
        design=skerry.design, numbers={**numbers, "width_nm": parse_length("20")}, at=MONDAY
    )
    offered = counter.get(NEW).context["form"].fields["design_version"].queryset
    assert list(offered) == [newer]


def test_the_drawing_follows_the_typing(counter, world):
    page = counter.post("/orders/draw/", typed(world, length_nm="9-4", width_nm="23"))
    body = page.content.decode()
    assert "9&#x27;4&quot; x 23 x 2 7/16" in body
    assert 'class="board-drawing"' in body
    assert "estimate" in body


def test_an_odd_number_is_told_while_typing_without_taking_the_keyboard_away(counter, world):
    body = counter.post("/orders/draw/", typed(world, thickness_nm="7")).content.decode()
    assert "A thickness of 7 in is unusual" in body
    assert 'name="confirmed"' in body
    assert "data-focus" not in body
    refused = counter.post(NEW, typed(world, thickness_nm="7")).content.decode()
    assert refused.count("data-focus") == 1


def test_the_drawing_stays_and_says_why_while_a_number_cannot_be_read(counter, world):
    drawn = counter.post("/orders/draw/", typed(world)).context["form"].sketch().drawn
    page = counter.post("/orders/draw/", typed(world, width_nm="19 1/", drawn=drawn))
    body = page.content.decode()
    assert page.status_code == 200
    assert "Drawn from the numbers before. 19 1/ is not a length" in body
    assert "6&#x27;2&quot; x 19 1/2 x 2 7/16" in body


@pytest.mark.parametrize("drawn", ["", "x", "1|2|3||||||", "9|" * 8 + "9", "-5|1|1|||pin|x|y|z"])
def test_a_drawing_that_was_never_shown_is_no_error(counter, world, drawn):
    page = counter.post("/orders/draw/", typed(world, width_nm="", drawn=drawn))
    assert page.status_code == 200
    assert "The drawing appears with" in page.content.decode()


def test_without_scripts_the_find_button_keeps_what_was_typed_and_saves_nothing(counter, world):
    page = counter.post(NEW, typed(world, customer="", find="tangv", look="1", width_nm="20 1/x"))
    assert page.status_code == 200
    assert page.context["who"].found() == [world.rider]
    assert page.context["form"]["width_nm"].value() == "20 1/x"
    assert not Order.objects.exists()


def test_a_sign_in_that_expired_comes_back_to_the_form(client, world):
    page = client.post(NEW, typed(world), HTTP_REFERER=f"http://testserver{NEW}")
    assert page.status_code == 302
    assert "next=" in page.url and "orders%2Fnew" in page.url
    assert not Order.objects.exists()


def test_the_crew_takes_no_orders(client, world):
    client.force_login(world.bo)
    assert client.get(NEW).status_code == 403


def test_the_form_asks_the_database_little_however_many_designs_there_are(counter, world, skerry):
    numbers = {name: getattr(skerry, name) for name in NUMBER_FIELDS}

    def queries():
        with CaptureQueriesContext(connection) as asked:
            counter.get(NEW)
        return len(asked)

    queries()  # the factory and the session are remembered from here on
    before = queries()
    for index in range(5):
        add_design(
            name=f"Design {index}",
            board_class="fish",
            note="",
            base_price_cents=0,
            numbers=numbers,
            at=MONDAY,
        )
    assert queries() == before


def test_a_far_day_is_a_day(counter, world):
    counter.post(NEW, typed(world, promised_on="2090-02-28"))
    assert Board.objects.get().promised_on == date(2090, 2, 28)


def test_a_stated_volume_far_from_the_numbers_asks_for_a_second_look(counter, world):
    page = counter.post(NEW, typed(world, stated_ml="48"))
    assert page.status_code == 422
    assert "The stated 48.0 L is" in page.content.decode()
    key = page.context["form"].odd
    assert len(key) == 1
    confirmed = page.context["form"].sketch().odd_key
    assert counter.post(NEW, typed(world, stated_ml="48", confirmed=confirmed)).status_code == 302


def test_a_design_may_be_chosen_when_numbers_stand_in_the_form_already(counter, world, skerry):
    version = skerry.pk
    page = counter.post(
        reverse("fill-board"),
        typed(world, design_version=version, width_nm="20 1/4", stated_ml="", wide_point_nm=""),
    )
    assert page.status_code == 200
    assert 'value="20 1/4"' in page.content.decode()


def test_a_redraw_asks_the_rack_of_blanks_once(counter, world):
    with CaptureQueriesContext(connection) as asked:
        counter.post("/orders/draw/", typed(world))
    assert sum('FROM "orders_blank"' in query["sql"] for query in asked) == 1


def test_five_boards_alike_are_taken_at_once_each_with_the_same_promise(counter, world):
    day = timezone.localdate() + timedelta(days=40)
    sent = typed(world, how_many="5", price="850", promised_on=day.isoformat())
    page = counter.post(NEW, sent, follow=True)
    assert "is taken with 5 boards" in page.content.decode()
    boards = list(Order.objects.get().boards.all())
    assert len(boards) == 5 and len({board.number for board in boards}) == 5
    for board in boards:
        assert (board.price_cents, board.promised_on) == (85_000, day)
        assert board.spec.length_nm == SIX_TWO and board.promise is not None
    counter.post(NEW, sent)
    assert Board.objects.count() == 5


@pytest.mark.parametrize("many", ["0", "51", "-2", "two"])
def test_a_number_of_boards_that_cannot_be_is_refused_beside_it(counter, world, many):
    page = counter.post(NEW, typed(world, how_many=many))
    assert page.context["form"].errors["how_many"] == ["Type a number from 1 to 50."]
    assert not Order.objects.exists()


def test_more_boards_like_one_of_the_order_open_with_its_numbers_and_price(counter, world):
    first = world.ordered(colour="Sea green", bay_notes="Goofy")
    add = reverse("add-board", args=[first.order.number])
    assert f"{add}?same_as={first.spec_id}" in counter.get(
        reverse("order", args=[first.order.number])
    ).content.decode()
    form = counter.get(add, {"same_as": first.spec_id}).context["form"]
    assert form["width_nm"].value() == "19 1/2"
    assert (form["price"].value(), form["colour"].value()) == ("850.00", "Sea green")
    assert form["bay_notes"].value() == "Goofy" and not form["promised_on"].value()
    sent = typed(world, boards="1", how_many="3", from_spec=str(first.spec_id), width_nm="20")
    page = counter.post(add, sent, follow=True)
    numbers = [board.number for board in first.order.boards.all()]
    assert f"Boards {numbers[1]} to {numbers[3]} are added." in page.content.decode()
    assert {board.spec.from_spec_id for board in first.order.boards.all()[1:]} == {first.spec_id}
    page = counter.post(add, sent, follow=True)
    assert "are added already; nothing was added twice" in page.content.decode()
    assert first.order.boards.count() == 4


def test_a_change_is_of_one_board_and_says_what_it_wants_to_know(counter, world):
    board = world.ordered()
    page = counter.post(reverse("change-board", args=[board.number]), typed(world, how_many="5"))
    assert page.context["form"].errors["reason"] == ["Say what changed, and why."]
    assert "how_many" not in page.context["form"].fields
