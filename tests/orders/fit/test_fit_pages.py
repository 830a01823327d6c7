"""The rider's particulars in the book of customers, and the advice beside the order."""

from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.customers.actions import add_customer, keep_rider
from orders.customers.models import (
    Ability,
    Fitness,
    HowOften,
    RiderProfile,
    Waves,
    Wetsuit,
)
from orders.designs.actions import add_design
from orders.fit import rider as words
from orders.orderbook.actions import cancel_order
from orders.shape.units import parse_length
from orders.specs.models import NUMBER_FIELDS
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def learner(world):
    return keep_rider(
        customer=world.rider, at=MONDAY, mass_g=90_000, mass_written="kg",
        height_nm=1_800_000_000, height_written="cm", ability="beginner",
    )


def shown(client, address, **typed) -> str:
    answer = client.post(address, typed, **HTMX)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


NUMBERS = {"length_nm": "6'0", "width_nm": "19 1/2", "thickness_nm": "2 7/16"}


def panel(client, world, **typed) -> str:
    return shown(client, "/fit/", **{"customer": world.rider.pk, **NUMBERS, **typed})


def test_the_words_of_the_book_are_those_the_advice_knows():
    assert tuple(Ability.values) == words.ABILITIES
    assert tuple(HowOften.values) == words.HOW_OFTEN
    assert tuple(Fitness.values) == words.FITNESS
    assert tuple(Wetsuit.values) == words.WETSUITS
    assert tuple(Waves.values) == words.WAVES


@pytest.mark.parametrize(
    ("mass", "height", "mass_back", "height_back"),
    [
        ("82 kg", "181", "82 kg", "181 cm"),
        ("180.5 lb", "5-11", "180.5 lb", "5'11\""),
        ("12st 9", "1.81 m", "12 st 9 lb", "1.81 m"),
    ],
)
def test_what_a_rider_tells_reads_back_as_it_was_told(
    counter, world, mass, height, mass_back, height_back
):
    page = reverse("rider-particulars", args=[world.rider.pk])
    answer = counter.post(page, {"mass": mass, "height": height, "ability": "intermediate"})
    assert answer.url == reverse("customer", args=[world.rider.pk])
    content = unescape(counter.get(answer.url).content.decode())
    for text in (mass_back, height_back, "Intermediate"):
        assert text in content
    form = unescape(counter.get(page).content.decode())
    assert f'value="{mass_back}"' in form and f'value="{height_back}"' in form


def test_all_of_it_may_stay_blank(counter, world):
    page = reverse("rider-particulars", args=[world.rider.pk])
    assert counter.post(page, {"mass": "", "height": ""}).status_code == 302
    assert RiderProfile.objects.get().mass_g is None
    counter.post(page, {"mass": "70 kg"})
    counter.post(page, {"mass": ""})
    assert RiderProfile.objects.get().mass_g is None


def test_a_weight_that_cannot_be_read_is_asked_about_beside_the_field(counter, world):
    page = reverse("rider-particulars", args=[world.rider.pk])
    answer = counter.post(page, {"mass": "82", "height": "181"})
    assert answer.status_code == 422
    assert "could be kilograms or pounds" in answer.content.decode()
    assert 'value="82"' in answer.content.decode()
    assert not RiderProfile.objects.exists()


def test_the_bays_never_see_what_a_rider_told(client, world, learner):
    board = world.released()
    client.force_login(world.bo)
    for page in (
        reverse("rider-particulars", args=[world.rider.pk]),
        reverse("spec-fit", args=[board.spec_id]),
    ):
        assert client.get(page).status_code == 403
    assert client.post("/fit/", NUMBERS).status_code == 403
    assert client.post("/fit/keep/", NUMBERS).status_code == 403
    spec_page = client.get(reverse("spec", args=[board.spec_id])).content.decode()
    assert "90 kg" not in spec_page and "Does it fit" not in spec_page


def test_the_panel_says_what_is_worth_saying_and_stops_nothing(counter, world, learner):
    text = panel(counter, world)
    assert "90 kg" in text and "180 cm" in text
    # 90 kg: 0.40 to 0.70 L/kg published for beginners, 36 to 63 L.
    assert "usually 36 to 63 L" in text
    assert "less than riders of your weight usually start on." in text
    assert "usually 6&#x27;7&quot; to 8&#x27;" in text


def test_reasons_and_sources_are_shown_when_asked_for(counter, world, learner):
    assert "surfertoday.com" not in panel(counter, world)
    text = panel(counter, world, **{"fit-reasons": "1"})
    assert "surfertoday.com/surfing/10727" in text
    assert "common practice, no source" in text


def test_what_is_typed_in_the_panel_counts_on_top_of_what_was_told(counter, world, learner):
    text = panel(counter, world, **{"fit-ability": "advanced", "fit-wetsuit": "none"})
    # 90 kg x 0.33 and x 0.37.
    assert "usually 30 to 33 L" in text
    assert RiderProfile.objects.get().ability == "beginner"


def test_what_was_typed_can_be_kept_with_the_customer(counter, world, learner):
    typed = {"customer": world.rider.pk, **NUMBERS, "fit-mass": "200 lb", "fit-waves": "weak"}
    assert "Keep this with Åse" in shown(counter, "/fit/", **typed)
    assert "Keep this with" not in shown(counter, "/fit/keep/", **typed)
    kept = RiderProfile.objects.get()
    assert (kept.mass_g, kept.mass_written, kept.ability) == (90_718, "lb", "beginner")
    # The waves were this board's.
    assert kept.waves == ""


def test_somebody_new_is_advised_from_what_is_typed(counter, world):
    text = shown(
        counter, "/fit/", customer="new", **NUMBERS,
        **{"fit-mass": "70 kg", "fit-ability": "intermediate"},
    )
    assert "usually 26 to 32 L" in text
    assert "Keep this" not in text


@pytest.mark.parametrize(
    "typed",
    [
        {},
        {"customer": "99999999"},
        {"customer": "x", "length_nm": "six"},
        {**NUMBERS, "fit-mass": "72", "fit-height": "tall", "fit-ability": "great"},
        {**NUMBERS, "width_nm": "400", "thickness_nm": "90"},
        {**NUMBERS, "fit-customer": "9" * 40, "fit-before": "-1", "fit-waves": "flat"},
    ],
)
def test_the_panel_answers_whatever_is_typed_so_far(counter, world, typed):
    assert shown(counter, "/fit/", **typed)


def test_earlier_boards_stand_beside_the_new_one_and_the_hole_is_named(counter, world):
    short = world.ordered()
    log = world.ordered(
        length_nm=parse_length("9'2", bare="ft"), width_nm=parse_length("22 3/4"),
        thickness_nm=parse_length("3"), nose_nm=None, tail_nm=None,
    )
    gone = world.ordered(length_nm=parse_length("7'0", bare="ft"))
    cancel_order(order=gone.order, by=world.cleo, at=MONDAY)
    text = panel(counter, world, length_nm="7'2", width_nm="21", thickness_nm="2 3/4")
    assert f"Fills the hole between board {short.number} (6&#x27;2&quot;" in text
    assert f"and board {log.number} (9&#x27;2&quot;" in text
    assert "Longboard" in text and "Shortboard" in text
    assert f"board {gone.number}" not in text


def test_a_changed_board_is_not_beside_itself(counter, world):
    world.ordered()
    second = world.ordered(length_nm=parse_length("7'2", bare="ft"))
    page = counter.get(reverse("change-board", args=[second.number])).content.decode()
    assert f'name="fit-before" value="{second.number}"' in page
    assert f'name="fit-customer" value="{world.rider.pk}"' in page
    text = shown(
        counter, "/fit/", **NUMBERS,
        **{"fit-customer": world.rider.pk, "fit-before": second.number},
    )
    assert "Beside the boards they had before (1)" in text


def test_a_design_tells_the_class_while_the_numbers_are_still_of_it(counter, world):
    numbers = {name: value for name, value in world.spec().items() if name in NUMBER_FIELDS}
    version = add_design(
        name="Ness", board_class="gun", note="", base_price_cents=0, numbers=numbers, at=MONDAY
    )
    typed = {"design_version": version.pk, "fit-reasons": "1"}
    assert "Gun." in panel(counter, world, **typed)
    assert "Longboard." in panel(
        counter, world, **typed, length_nm="9'2", width_nm="23", thickness_nm="3"
    )


def test_the_panel_is_cheap_however_many_boards_there_are(counter, world, learner):
    for _ in range(6):
        world.ordered()
    typed = {"customer": world.rider.pk, **NUMBERS, "fit-mass": "82 kg"}
    counter.post("/fit/", typed, **HTMX)
    with CaptureQueriesContext(connection) as queries:
        counter.post("/fit/", typed, **HTMX)
    own = [
        one["sql"] for one in queries
        if "django_session" not in one["sql"] and "orders_user" not in one["sql"]
    ]
    assert len(own) <= 4, own


def test_the_fit_of_an_issued_spec_has_a_page(counter, world, learner):
    board = world.ordered()
    page = reverse("spec-fit", args=[board.spec_id])
    content = counter.get(page).content.decode()
    assert "Åse Tangvær" in content and "usually" in content and "surfertoday.com" in content
    assert page in counter.get(reverse("spec", args=[board.spec_id])).content.decode()
    assert "Big waves can hurt" in counter.get(f"{page}?waves=big").content.decode()


def test_the_order_form_opens_with_the_panel_and_keeps_what_was_typed_there(counter, world):
    assert 'hx-post="/fit/"' in counter.get("/orders/new/").content.decode()
    again = counter.post("/orders/new/", {"fit-mass": "82 kg", "fit-ability": "expert"})
    content = again.content.decode()
    assert again.status_code == 422
    assert 'value="82 kg"' in content
    assert '<option value="expert" selected>' in content


def test_a_shops_boards_are_not_one_riders(counter, world):
    world.ordered()
    world.rider.kind = "shop"
    world.rider.save()
    text = panel(counter, world, **{"fit-mass": "82 kg"})
    assert "for many riders" in text
    assert "they had before" not in text and "Keep this" not in text


def test_without_scripts_the_advice_is_a_page_of_its_own(counter, world, learner):
    answer = counter.post("/fit/", {"customer": world.rider.pk, **NUMBERS, "fit-reasons": "1"})
    content = answer.content.decode()
    assert "<h1>Does it fit the rider?</h1>" in content and "SurferToday" in content


def test_what_was_typed_for_one_rider_is_not_taken_for_anothers(counter, world):
    other = add_customer(name="Runa Holm", kind="rider", at=MONDAY)
    typed = {**NUMBERS, "fit-mass": "82 kg", "fit-ability": "advanced"}
    # Typed before anybody was chosen it goes along with whoever is.
    assert f'name="fit-for" value="{other.pk}"' in shown(
        counter, "/fit/", customer=other.pk, **typed, **{"fit-for": ""}
    )
    switched = {"customer": world.rider.pk, **typed, "fit-for": other.pk}
    text = shown(counter, "/fit/", **switched)
    assert "typed for somebody else" in text and "82 kg" not in text and "Keep this" not in text
    shown(counter, "/fit/keep/", **switched)
    assert RiderProfile.objects.filter(customer=world.rider, mass_g=82_000).count() == 0
    emptied = shown(counter, "/fit/", customer=world.rider.pk, **NUMBERS, **{"fit-for": other.pk})
    assert f'name="fit-for" value="{world.rider.pk}"' in emptied
