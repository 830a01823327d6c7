"""Which day can be promised for a board, and what it costs to let it go first."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from orders.orderbook.models import Board, Promise
from orders.orderbook.promises import Reason, Told, give_promise, seal, told_of
from orders.specs.models import SpecRevision
from stages.crew.models import CrewMember
from stages.promises.asking import asked_of
from stages.promises.line import line_for
from stages.promises.question import NO_ROUTE, Answer, answer, first
from stages.routes.models import Route
from tests.world import MONDAY

TODAY = MONDAY.date()
DAY = timedelta(days=1)


def asked(**typed):
    return asked_of({name: str(value) for name, value in typed.items()}, today=TODAY)


@pytest.mark.django_db
def test_alone_on_the_floor_a_board_is_promised_for_the_days_its_steps_and_rests_take(world):
    """Shaping, fin boxes, glassing and its night's rest, sanding, plug, QC: from Monday 9:00."""
    told = answer(asked(), now=MONDAY)
    assert date(2026, 3, 3) < told.day.on < date(2026, 3, 14)
    assert told.day.confidence_percent == 85  # the factory's own, where nothing was chosen
    assert told.day.chance >= 0.85
    assert (told.on_floor, told.ordered, told.passes) == (0, 0, 0)


@pytest.mark.django_db
def test_the_surer_it_shall_be_the_later_the_day(world):
    for _ in range(6):
        world.released(promised_on=date(2026, 3, 6))
    days = [answer(asked(sure=sure), now=MONDAY).day for sure in (50, 80, 95)]
    assert days[0].on <= days[1].on <= days[2].on
    assert days[0].on < days[2].on
    assert [day.confidence_percent for day in days] == [50, 80, 95]


@pytest.mark.django_db
def test_gloss_and_more_boards_take_longer_and_a_board_that_comes_shaped_less(world):
    plain = answer(asked(), now=MONDAY).day.on
    assert answer(asked(finish="gloss"), now=MONDAY).day.on > plain
    assert answer(asked(how_many=8), now=MONDAY).day.on > plain
    assert answer(asked(comes_shaped="on"), now=MONDAY).day.on <= plain


@pytest.mark.django_db
def test_boards_whose_promises_are_tight_go_before_it(world):
    """Nothing of theirs may be put at risk, so it waits behind all of them."""
    for count in range(8):
        world.released(promised_on=TODAY + (2 + count // 2) * DAY)
    world.ordered(promised_on=TODAY + 6 * DAY)
    told = answer(asked(), now=MONDAY)
    assert (told.on_floor, told.ordered, told.passes) == (8, 1, 0)
    assert told.day.on > TODAY + 6 * DAY
    assert told.longest in {"Shaping", "Glassing"} and told.longest_days >= 1


@pytest.mark.django_db
def test_boards_whose_promise_is_lost_are_not_made_later_still(world):
    for _ in range(4):
        world.released(promised_on=TODAY - 3 * DAY)
    assert answer(asked(), now=MONDAY).on_floor == 4


@pytest.mark.django_db
def test_a_board_with_time_to_spare_is_passed_and_its_promise_stays_safe(world):
    for _ in range(3):
        world.ordered(promised_on=TODAY + 90 * DAY)
    told = answer(asked(), now=MONDAY)
    assert (told.on_floor, told.ordered, told.passes) == (0, 0, 3)
    assert told.day.on < told.behind


@pytest.mark.django_db
def test_a_date_typed_is_told_with_its_own_chance(world):
    usual = answer(asked(), now=MONDAY).day
    sooner = answer(asked(promised_on=usual.on - 2 * DAY), now=MONDAY)
    later = answer(asked(promised_on=usual.on + 7 * DAY), now=MONDAY)
    assert sooner.typed.chance < 0.85 <= later.typed.chance
    assert sooner.typed_is_earlier and not later.typed_is_earlier
    assert sooner.typed.confidence_percent is None
    assert answer(asked(promised_on=usual.on), now=MONDAY).is_typed


@pytest.mark.django_db
def test_a_board_being_changed_does_not_wait_for_itself(world):
    for _ in range(5):
        world.ordered(promised_on=TODAY + 2 * DAY)
    changed = Board.objects.last()
    behind = answer(asked(), now=MONDAY)
    itself = answer(asked(of_board=changed.number), now=MONDAY)
    assert behind.ordered == itself.ordered + 1


@pytest.mark.django_db
def test_without_the_skill_the_stage_is_named(world):
    CrewMember.objects.get(user=world.bo).skills.remove(world.stages["Gloss and polish"])
    assert "Gloss and polish" in answer(asked(finish="gloss"), now=MONDAY).why
    assert answer(asked(), now=MONDAY).day is not None
    assert first(asked(finish="gloss"), now=MONDAY) is None


@pytest.mark.django_db
def test_without_a_route_it_says_so(world):
    Route.objects.update(retired_at=MONDAY)
    assert answer(asked(), now=MONDAY).why == NO_ROUTE


@pytest.mark.django_db
def test_what_it_costs_to_go_first_is_told_by_name_and_by_chance(world):
    for count in range(8):
        world.released(promised_on=TODAY + (3 + count // 2) * DAY)
    usual = answer(asked(), now=MONDAY).day
    found = first(asked(), now=MONDAY)
    assert found.day < usual.on
    assert found.others == 8
    paying = found.paying
    assert paying and all(one.board.order.customer == world.rider for one in paying)
    assert any(one.cost.chance_after < one.cost.chance_before for one in paying)
    assert all(one.cost.fall >= 0.05 - 1e-9 or one.day_after > one.day_before for one in paying)


@pytest.mark.django_db
def test_a_remake_stays_before_every_promise(world):
    lost = world.ordered(promised_on=TODAY + 60 * DAY)
    Board.objects.filter(pk=lost.pk).update(first_in_line=True)
    line = line_for(asked(), now=MONDAY)
    assert line.pressing == 1
    assert line.place_of(TODAY) == 1
    assert line.slots()[0].place == 1


@pytest.mark.django_db
def test_an_order_that_is_changed_is_as_old_as_it_was(world):
    board = world.ordered(at=MONDAY - 9 * DAY, promised_on=TODAY + 30 * DAY)
    assert line_for(asked(of_board=board.number), now=MONDAY).ordered == -9 * 1440
    assert line_for(asked(), now=MONDAY).ordered == 0


@pytest.mark.django_db
def test_asking_again_after_typing_what_changes_no_step_plays_nothing(world, monkeypatch):
    told = answer(asked(length_nm="6'2"), now=MONDAY)
    monkeypatch.setattr("stages.flow.simulation.simulate", None)
    assert answer(asked(length_nm="6'4", width_nm="20"), now=MONDAY) == told


@pytest.mark.django_db
def test_nothing_typed_is_read_as_usual_and_nonsense_too(world):
    odd = asked(sure="x", how_many="-3", of_board="?", promised_on="tomorrow", resin="tar")
    usual = asked()
    assert (odd.percent, odd.boards, odd.instead_of, odd.typed) == (85, 1, None, None)
    assert odd.words == usual.words


@pytest.mark.django_db
def test_the_form_is_answered_in_parts_and_carries_what_was_told(world, as_):
    counter = as_(world.cleo)
    htmx = {"HX-Request": "true"}
    panel = counter.post("/promises/day/", headers={**htmx, "HX-Target": "promise-panel"})
    assert b'name="sure"' in panel.content and b"With 85 % confidence" in panel.content
    alone = counter.post(
        "/promises/day/", {"sure": "95"}, headers={**htmx, "HX-Target": "promise-answer"}
    )
    assert b'name="sure"' not in alone.content and b"With 95 % confidence" in alone.content
    on = alone.context["answer"].day.on
    assert told_of(alone.context["sealed"], on) == alone.context["answer"].day
    page = counter.post("/promises/day/", {"finish": "gloss"})
    assert b"<h1>Which day can we promise?</h1>" in page.content
    rush = counter.post("/promises/first/", headers={**htmx, "HX-Target": "promise-rush"})
    assert b"Put first" in rush.content
    assert as_(world.inka).post("/promises/day/").status_code == 403


@pytest.mark.django_db
def test_a_day_of_a_small_or_a_big_floor_costs_the_same_queries(
    world, as_, django_assert_max_num_queries
):
    now = timezone.now()
    counter = as_(world.cleo)
    counter.post("/promises/day/")  # what is learned from the log is kept for an hour
    for count in (1, 5):
        for _ in range(count):
            world.released(at=now, promised_on=now.date() + 9 * DAY)
        with django_assert_max_num_queries(50):
            counter.post("/promises/day/")


@pytest.mark.django_db
def test_an_order_keeps_how_sure_its_date_was_and_says_so(world, as_):
    counter = as_(world.cleo)
    on = timezone.localdate() + 40 * DAY
    typed = {
        "customer": world.rider.pk, "length_nm": "6'2", "width_nm": "19 1/2",
        "thickness_nm": "2 7/16", "price": "850", "promised_on": on.isoformat(),
        "told": seal([Told(on, 85, 0.87)]), "ref": "7d0ab5c8-3a54-4a8e-9a53-0d1b1f0b2f11",
        **{
            name: SpecRevision._meta.get_field(name).default
            for name in (
                "tail_shape", "rail", "deck", "bottom", "foam", "stringer", "resin", "deck_cloth",
                "bottom_cloth", "fin_setup", "box_kind", "leash_plug", "finish",
            )
        },
    }
    saved = counter.post("/orders/new/", typed)
    assert saved.status_code == 302, saved.context["form"].errors
    promise = Promise.objects.get()
    assert (promise.promised_on, promise.confidence_percent, promise.chance) == (on, 85, 0.87)
    assert promise.given_by == world.cleo
    assert "given with 85 % confidence" in counter.get(saved.url).content.decode()


@pytest.mark.django_db
def test_a_sealed_text_that_was_changed_or_is_of_another_day_is_by_feel(world):
    on = TODAY + DAY
    text = seal([Told(on, 85, 0.9)])
    assert told_of(text, on).confidence_percent == 85
    assert told_of(text, on + DAY) is None
    assert told_of(text[:-1] + ("A" if text[-1] != "A" else "B"), on) is None
    assert told_of("", on) is None


@pytest.mark.django_db
def test_a_date_given_again_is_another_promise_and_the_same_date_is_not(world):
    board = world.ordered(promised_on=TODAY)
    assert board.promise.confidence_percent is None
    give_promise(board=board, on=TODAY, by=world.mara, at=MONDAY, told=Told(TODAY, 90))
    assert board.promises.count() == 1
    give_promise(board=board, on=TODAY + DAY, by=world.mara, at=MONDAY + DAY, why=Reason("sooner"))
    give_promise(board=board, on=None, by=world.mara, at=MONDAY + 2 * DAY)
    assert [row.promised_on for row in board.promises.all()] == [TODAY, TODAY + DAY]
    assert board.promise is None


@pytest.mark.parametrize("floor, book, words", [
    (0, 0, "No board goes before it."),
    (1, 0, "1 board on the floor goes before it."),
    (5, 0, "5 boards on the floor go before it."),
    (0, 2, "2 boards in the order book go before it."),
    (1, 1, "1 board on the floor and 1 board in the order book go before it."),
])  # fmt: skip
def test_who_goes_before_it_is_said_as_a_person_would(floor, book, words):
    assert Answer(on_floor=floor, ordered=book).before_it == words
