"""The blanks on the screen: the rack, one blank, and the blank of a board."""

import pytest
from django.urls import reverse

from orders.blanks.actions import reserve_blank
from orders.blanks.models import Blank
from orders.blanks.queries import reservation_of
from orders.orderbook.actions import BoardAsked, change_board
from orders.shape.units import parse_length
from orders.specs.sketch import odd_key
from stages.floor.actions import release_board
from stages.log.fold import Kind
from tests.orders.blanks.making import MM, kept
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def sign_in(client):
    def as_(person):
        client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
        return client
    return as_


def typed(rows, **more) -> dict:
    """The form of a blank as a browser sends it: rows of (from tail, width, thickness, bottom)."""
    names = ("x_nm", "width_nm", "thickness_nm", "rocker_nm")
    filled = {f"s-{i}-{name}": text for i, row in enumerate(rows)
              for name, text in zip(names, row, strict=True)}
    return {"name": "6'2 Q", "foam": "pu", "density": "36", "stringer": "eighth",
            "s-TOTAL_FORMS": "14", "s-INITIAL_FORMS": "14", **filled, **more}


ROWS = [("0", "11 1/2", "1 1/4", "2 3/8"), ("37", "21", "2 3/4", "0"), ("74", "7", "1 1/4", "5")]


def test_a_manager_types_a_blank_off_the_tape(sign_in, world):
    answer = sign_in(world.mara).post(reverse("new-blank"), typed(ROWS))
    blank = Blank.objects.get()
    assert answer.url == reverse("blank", args=[blank.pk])
    assert blank.length_nm == parse_length("6'2", bare="ft")
    assert blank.stations[1] == {
        "x_nm": parse_length("37"), "width_nm": parse_length("21"),
        "thickness_nm": parse_length("2 3/4"), "rocker_nm": 0,
    }
    assert blank.on_hand == 0
    page = sign_in(world.cleo).get(reverse("blanks")).content.decode()
    assert "6&#x27;2&quot; x 21 x 2 3/4" in page


def test_stations_typed_out_of_order_are_put_in_order(sign_in, world):
    sign_in(world.mara).post(reverse("new-blank"), typed([ROWS[0], ROWS[2], ROWS[1]]))
    assert [row["x_nm"] for row in Blank.objects.get().stations] == [
        0, parse_length("37"), parse_length("74")
    ]


def test_a_station_with_a_gap_is_asked_for_and_nothing_is_lost(sign_in, world):
    rows = [ROWS[0], ("37", "", "2 3/4", "0"), ROWS[2]]
    answer = sign_in(world.mara).post(reverse("new-blank"), typed(rows))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Type the width." in page
    assert 'value="11 1/2"' in page
    assert not Blank.objects.exists()


def test_too_few_stations_are_said_above_the_form(sign_in, world):
    answer = sign_in(world.mara).post(reverse("new-blank"), typed(ROWS[:2]))
    assert answer.status_code == 422
    assert "at least 3 stations" in answer.content.decode()


def test_a_name_there_already_is_said_beside_it(sign_in, world):
    kept("6'2 Q")
    answer = sign_in(world.mara).post(reverse("new-blank"), typed(ROWS))
    assert answer.status_code == 422
    assert "already exists" in answer.content.decode()


def test_mending_the_numbers_keeps_the_stock(sign_in, world):
    blank = kept(on_hand=3)
    sign_in(world.mara).post(reverse("edit-blank", args=[blank.pk]), typed(ROWS))
    blank.refresh_from_db()
    assert (blank.name, blank.length_nm, blank.on_hand) == ("6'2 Q", 74 * 25_400_000, 3)


def test_what_came_in_and_what_was_counted(sign_in, world):
    blank = kept(on_hand=1)
    mara, stock = sign_in(world.mara), reverse("blank-stock", args=[blank.pk])
    mara.post(stock, {"received-number": "4", "received-note": "Tuesday's van"})
    blank.refresh_from_db()
    assert blank.on_hand == 5
    mara.post(stock, {"counted-number": "3", "counted-note": ""})
    blank.refresh_from_db()
    assert blank.on_hand == 3
    page = mara.get(reverse("blank", args=[blank.pk])).content.decode()
    assert "Tuesday&#x27;s van" in page
    assert "Counted (-2)" in page
    answer = mara.post(stock, {"received-number": "", "received-note": "typed"})
    assert answer.status_code == 422
    assert 'value="typed"' in answer.content.decode()


def test_the_counter_chooses_the_blank_with_the_least_foam_to_take_off(sign_in, world):
    near = kept("6'6 K")
    kept("7'6 K", length=2290)
    board = world.ordered()
    cleo = sign_in(world.cleo)
    page = cleo.get(reverse("spec-blanks", args=[board.spec_id])).content.decode()
    assert page.index("6&#x27;6 K") < page.index("7&#x27;6 K")
    assert "least foam wasted" in page
    assert "blank-board" in page  # the drawing
    cleo.post(reverse("reserve-blank", args=[board.spec_id]), {"blank": near.pk})
    assert reservation_of(board).blank == near
    cleo.post(reverse("let-blank-go", args=[board.spec_id]))
    assert reservation_of(board) is None


def test_when_none_fits_the_page_says_by_how_much_and_where(sign_in, world):
    thin = kept(thickness=60)
    board = world.ordered()
    cleo, address = sign_in(world.cleo), reverse("spec-blanks", args=[board.spec_id])
    page = cleo.get(address).content.decode()
    assert "No blank fits. Nearest: 6&#x27;6 K, " in page
    assert "mm too thin" in page
    reserve = reverse("reserve-blank", args=[board.spec_id])
    answer = cleo.post(reserve, {"blank": thin.pk, "why": " "})
    assert answer.status_code == 422
    assert reservation_of(board) is None
    cleo.post(reserve, {"blank": thin.pk, "why": "Measured it: 3 in thick"})
    assert reservation_of(board).why == "Measured it: 3 in thick"


def test_older_numbers_choose_no_blank(sign_in, world):
    blank, board = kept(), world.ordered()
    first = board.spec_id
    change_board(board=board, asked=BoardAsked(world.spec(width_nm=500 * MM)), reason="wider",
                 by=world.cleo, at=MONDAY)
    cleo = sign_in(world.cleo)
    assert "Set aside<" not in cleo.get(reverse("spec-blanks", args=[first])).content.decode()
    answer = cleo.post(reverse("reserve-blank", args=[first]), {"blank": blank.pk})
    assert answer.status_code == 422
    assert "older numbers" in answer.content.decode()
    assert reservation_of(board) is None


def test_the_shaper_sees_where_foam_comes_off_but_chooses_nothing(sign_in, world):
    kept()
    board = world.ordered()
    inka = sign_in(world.inka)
    page = inka.get(reverse("spec-blanks", args=[board.spec_id])).content.decode()
    assert "Foam to take off, mm" in page
    assert "<form" not in page.split("</header>")[1]


def as_typed(page) -> dict:
    """What a browser would send back of the form as it was opened."""
    form = page.context["form"]
    values = {name: form[name].value() for name in form.fields}
    return {form.add_prefix(name): form.fields[name].prepare_value(value)
            for name, value in values.items() if value is not None}


def saved(client, address, **changes):
    """The page after the form was changed and saved, unusual numbers said to be right."""
    sent = as_typed(client.get(address)) | changes
    answer = client.post(address, sent)
    if answer.status_code == 422 and answer.context["form"].odd:
        answer = client.post(address, sent | {"confirmed": odd_key(answer.context["form"].odd)})
    assert answer.status_code == 302, answer.context["form"].errors
    return client.get(answer.url).content.decode()


def test_numbers_changed_beyond_the_blank_are_said_at_once(sign_in, world):
    board = world.ordered()
    reserve_blank(board=board, blank=kept(), by=world.cleo, at=MONDAY)
    page = saved(sign_in(world.cleo), reverse("change-board", args=[board.number]),
                 thickness_nm="3 1/4", reason="more float")
    assert "6&#x27;6 K is" in page
    assert "Choose its blank again before release." in page


def test_new_numbers_on_the_floor_say_that_the_blank_went_back(sign_in, world):
    board = world.ordered()
    reserve_blank(board=board, blank=kept(), by=world.cleo, at=MONDAY)
    release_board(board=board, by=world.cleo, at=MONDAY)
    page = saved(sign_in(world.cleo), reverse("board-change", args=[board.number]),
                 thickness_nm="3 1/4", reason="more float", seen=str(board.spec.number))
    assert "6&#x27;6 K does not hold these numbers and went back" in page
    assert reservation_of(board) is None


def test_once_shaping_began_the_shaper_is_to_be_asked(sign_in, world):
    board = world.ordered()
    reserve_blank(board=board, blank=kept(), by=world.cleo, at=MONDAY)
    release_board(board=board, by=world.cleo, at=MONDAY)
    world.log(board, Kind.TAKEN, world.inka, MONDAY)
    page = saved(sign_in(world.cleo), reverse("board-change", args=[board.number]),
                 thickness_nm="3 1/4", reason="more float", seen=str(board.spec.number))
    assert "ask the shaper before anything else" in page
    assert reservation_of(board).used_at


def test_whoever_releases_sees_which_blank_to_take(sign_in, world):
    chosen, without = world.ordered(), world.ordered()
    cleo = sign_in(world.cleo)
    assert "Blank:" not in cleo.get(reverse("release")).content.decode()
    reserve_blank(board=chosen, blank=kept(), by=world.cleo, at=MONDAY)
    page = cleo.get(reverse("release")).content.decode()
    assert page.count("6&#x27;6 K") == page.count("none set aside") == 1
    release_board(board=chosen, by=world.cleo, at=MONDAY)
    release_board(board=without, by=world.cleo, at=MONDAY)
    page = cleo.get(f"{reverse('released')}?board={chosen.number}&board={without.number}")
    assert page.content.decode().count("out of") == 1
