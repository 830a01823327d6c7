"""Hours and room of a bay: no work is planned outside of the ones, nor on more than the other."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from stages.crew.calendar import open_hours
from stages.crew.closing import close_factory
from stages.crew.hours import format_week
from stages.crew.models import ChangedHours, CrewMember
from stages.crew.queries import hours_mark
from stages.flow.clock import Clock, shifts
from stages.flow.luck import FIXED
from stages.flow.simulation import Bay as Room
from stages.flow.simulation import Board, Hand, Stage, Step, simulate
from stages.forecast.forecast import forecast, standing_now
from stages.forecast.mark import mark_now
from stages.routes.actions import set_bay_hours, set_bay_room
from stages.routes.models import Bay
from tests.examples import examples
from tests.world import MONDAY

OSLO = ZoneInfo("Europe/Oslo")
UNTIL_FIVE = [[[480, 1020]]] * 5 + [[], []]
UNTIL_SIX = [[[480, 1080]]] * 5
FRIDAY = date(2026, 3, 27)  # the clocks of Oslo go forward in the night to Sunday the 29th


@pytest.fixture
def glass_shop(world):
    bay = Bay.objects.get(name="Glassing")
    return set_bay_hours(bay=bay, week=UNTIL_FIVE, by=world.mara, at=MONDAY)


def local(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=OSLO).astimezone(UTC)


def one_lamination(world, minutes: float, *, now: datetime) -> datetime:
    """When a lamination of exactly so many minutes that waits for Bo alone is done."""
    floor = standing_now(now=now)
    place = floor.keys.index(world.stages["Glassing"].pk)
    bo = floor.crew[floor.members.index(world.bo.pk)]
    room = replace(floor.stages[place], doubt=0.0, over=0.0)
    crew = [replace(bo, absent=0.0, pace={0: 1.0})]
    board = Board(1, 1.0, (Step(0, minutes, spread=FIXED),))
    out = simulate([board], crew, [room], replications=1, seed=1)
    return now + timedelta(minutes=float(out.done[0, 0]))


def until_six(world):
    CrewMember.objects.filter(user=world.bo).update(week=UNTIL_SIX)


def test_a_lamination_that_would_end_after_the_glass_shop_closes_waits_for_the_morning(
    world, glass_shop
):
    until_six(world)
    monday, tuesday = date(2026, 3, 2), date(2026, 3, 3)
    at_three = local(monday, 15)
    assert one_lamination(world, 120, now=at_three) == local(monday, 17)
    assert one_lamination(world, 121, now=at_three) == local(tuesday, 10, 1)


def test_without_hours_of_its_own_a_bay_is_open_as_long_as_somebody_works(world, glass_shop):
    until_six(world)
    set_bay_hours(bay=glass_shop, week=[[]] * 7, by=world.mara, at=MONDAY)
    assert one_lamination(world, 121, now=local(date(2026, 3, 2), 15)) == local(
        date(2026, 3, 2), 17, 1
    )


def test_a_bay_opens_by_the_clock_on_the_wall_when_the_clocks_change(world, glass_shop):
    """Friday's is left for Monday, which is three days later but an hour short of 72."""
    until_six(world)
    friday = local(FRIDAY, 16)
    done = one_lamination(world, 90, now=friday)
    assert done == local(date(2026, 3, 30), 9, 30)
    assert done - friday == timedelta(hours=64, minutes=30)  # 65.5 by the hands of a clock


def test_a_day_on_which_the_factory_is_closed_closes_the_bay(world, glass_shop):
    """Also for somebody who comes in all the same: in a bay without hours they find work."""
    until_six(world)
    tuesday, wednesday = date(2026, 3, 3), date(2026, 3, 4)
    close_factory(first=tuesday, last=tuesday, why="Floor painted")
    ChangedHours.objects.create(member_id=world.bo.pk, day=tuesday, spans=[[480, 720]])
    evening = local(date(2026, 3, 2), 18)
    assert one_lamination(world, 60, now=evening) == local(wednesday, 9)
    set_bay_hours(bay=glass_shop, week=[], by=world.mara, at=MONDAY)
    assert one_lamination(world, 60, now=evening) == local(tuesday, 9)


def test_every_stage_of_the_bay_keeps_its_hours_and_no_other(world):
    bay = Bay.objects.get(name="Plug and QC")
    set_bay_hours(bay=bay, week=[[[600, 660]]], by=world.mara, at=MONDAY)
    floor = standing_now(now=MONDAY)
    hours = dict(zip(floor.names, (stage.hours for stage in floor.stages), strict=True))
    assert hours["Plug"] == hours["QC"] != ()
    # Monday 10:00 in Oslo is an hour after eight in UTC; the next Monday is a week on.
    assert hours["Plug"][:2] == ((60.0, 120.0), (10140.0, 10200.0))
    assert {stage for stage, own in hours.items() if own} == {"Plug", "QC"}


def test_the_stages_of_a_bay_share_its_room(world):
    bay = Bay.objects.get(name="Plug and QC")
    set_bay_room(bay=bay, places=2, racks=5)
    floor = standing_now(now=MONDAY)
    rooms = dict(zip(floor.names, (stage.bay for stage in floor.stages), strict=True))
    assert rooms["Plug"] == rooms["QC"] == Room(bay.pk, places=2, racks=5)
    assert (rooms["Sanding"].places, rooms["Sanding"].racks) == (0, 0)


def test_the_manager_says_for_how_many_boards_a_bay_has_room(world, glass_shop, as_):
    client, page = as_(world.mara), reverse("bay-hours", args=[glass_shop.pk])
    week = {f"day_{number}": "" for number in range(7)} | {"name": glass_shop.name}
    answer = client.post(page, {**week, "places": "3", "racks": "12"}, follow=True)
    assert "at most 3 in hand" in answer.content.decode()
    glass_shop.refresh_from_db()
    assert (glass_shop.places, glass_shop.racks) == (3, 12)
    wrong = client.post(page, {**week, "day_0": "9-12", "places": "501", "racks": "12"})
    assert wrong.status_code == 422
    assert 'value="501"' in wrong.content.decode() and "9-12" in wrong.content.decode()
    glass_shop.refresh_from_db()
    assert (glass_shop.places, glass_shop.week) == (3, [])


def test_who_set_the_hours_and_when_is_kept(world, glass_shop):
    bay = Bay.objects.get(pk=glass_shop.pk)
    assert (bay.week, bay.week_set_by, bay.week_set_at) == (UNTIL_FIVE, world.mara, MONDAY)


def test_a_glass_shop_open_on_fridays_only_pushes_every_date_behind_friday(world):
    world.released()
    (before,) = forecast(now=MONDAY).boards
    bay, fridays = Bay.objects.get(name="Glassing"), [[]] * 4 + [[[480, 720]]]
    set_bay_hours(bay=bay, week=fridays, by=world.mara, at=MONDAY)
    (after,) = forecast(now=MONDAY).boards
    assert before.half < date(2026, 3, 6) < after.half
    assert before.sure < after.sure


def test_what_is_kept_of_hours_is_dropped(world, glass_shop, django_capture_on_commit_callbacks):
    before = hours_mark()
    with django_capture_on_commit_callbacks(execute=True):
        set_bay_hours(bay=glass_shop, week=[], by=world.mara, at=MONDAY)
    assert hours_mark() != before


def test_a_forecast_is_old_once_a_bays_hours_are_others(world, glass_shop):
    today = MONDAY.date()
    before = mark_now(today=today)
    assert mark_now(today=today) == before
    set_bay_hours(bay=glass_shop, week=[[[480, 960]]], by=world.mara, at=MONDAY)
    shorter = mark_now(today=today)
    set_bay_hours(bay=glass_shop, week=[], by=world.mara, at=MONDAY)
    always = mark_now(today=today)
    set_bay_room(bay=glass_shop, places=1, racks=0)
    narrow = mark_now(today=today)
    set_bay_room(bay=glass_shop, places=1, racks=1)
    racked = mark_now(today=today)
    Bay.objects.filter(pk=glass_shop.pk).update(outside=True)
    assert len({before, shorter, always, narrow, racked, mark_now(today=today)}) == 6


# Any of the 36 times 40 minutes of each day.
SPANS = st.integers(0, 2**36 - 1).map(
    lambda bits: [[40 * n, 40 * n + 40] for n in range(36) if bits >> n & 1]
)
WEEKS = st.tuples(*[SPANS] * 7)


@pytest.mark.parametrize("zone, change", [
    ("Europe/Oslo", date(2026, 3, 29)), ("Europe/Oslo", date(2026, 10, 25)),
    ("Australia/Lord_Howe", date(2026, 4, 5)), ("Australia/Lord_Howe", date(2026, 10, 4)),
])  # fmt: skip
@settings(deadline=None, max_examples=examples(50))
@given(works=WEEKS, opens=WEEKS, minutes=st.integers(1, 4000))
def test_work_goes_on_while_both_the_person_and_the_bay_are_there(
    zone, change, works, opens, minutes
):
    """Minute for minute by a clock over the hours they have in common, from the day before the
    clocks change: on Lord Howe Island by half an hour."""
    zone, first = ZoneInfo(zone), change - timedelta(days=1)
    last = first + timedelta(days=20)
    start = datetime(first.year, first.month, first.day, tzinfo=zone).astimezone(UTC)

    def to_be(spans):
        pairs = [((a - start).total_seconds() / 60, (b - start).total_seconds() / 60)
                 for a, b in spans if b > start]
        return tuple(pairs)

    own = shifts(works, zone, first, last)
    bay = open_hours(Bay(week=opens), first, last, zone=zone, closed=())
    both = own if not bay else [
        (max(a, c), min(b, d)) for a, b in own for c, d in bay if max(a, c) < min(b, d)
    ]
    out = simulate(
        [Board(1, 1.0, (Step(0, float(minutes), spread=FIXED),))],
        [Hand({0: 1.0}, to_be(own))], [Stage(hours=to_be(bay))], replications=1, seed=1,
    )
    done = Clock(both).after(start, minutes)
    if done is None:
        assert out.done[0, 0] == float("inf")
    else:
        assert start + timedelta(minutes=float(out.done[0, 0])) == done


@pytest.fixture
def page(as_, world):
    return as_(world.mara)


def hours_page(bay) -> str:
    return f"/set-up/bays/{bay.pk}/hours/"


def test_the_manager_sets_a_bays_hours_as_a_persons(world, page, time_machine):
    time_machine.move_to(MONDAY, tick=False)
    bay = Bay.objects.get(name="Sanding")
    asked = {f"day_{day}": "7:00-12:00, 13-17" for day in range(5)} | {"name": "Sanding"}
    wrong = page.post(hours_page(bay), asked | {"day_5": "late"})
    assert wrong.status_code == 422 and "are no hours" in wrong.content.decode()
    assert Bay.objects.get(pk=bay.pk).week == []
    assert page.post(hours_page(bay), asked).status_code == 302
    kept = Bay.objects.get(pk=bay.pk)
    assert kept.week == [[[420, 720], [780, 1020]]] * 5 + [[], []]
    assert (kept.week_set_by, kept.week_set_at) == (world.mara, MONDAY)
    shown = page.get(hours_page(bay)).content.decode()
    assert "7:00-12:00, 13:00-17:00" in shown
    assert "Set by Mara, Mon 2 Mar, 09:00" in shown
    stages = page.get("/set-up/stages/").content.decode()
    assert "Mon to Fri 7:00-12:00, 13:00-17:00" in stages
    assert "whenever somebody works there" in stages


def test_all_days_left_empty_open_the_bay_whenever_somebody_works(world, page, glass_shop):
    empty = {f"day_{day}": "" for day in range(7)} | {"name": glass_shop.name}
    assert page.post(hours_page(glass_shop), empty).status_code == 302
    assert Bay.objects.get(pk=glass_shop.pk).week == []


def test_a_bay_is_renamed_and_keeps_its_stages(world, page, glass_shop):
    assert page.post(hours_page(glass_shop), {"name": "Laminering"}).status_code == 302
    assert Bay.objects.get(stages=world.stages["Glassing"]).name == "Laminering"
    taken = page.post(hours_page(glass_shop), {"name": "Sanding"})
    assert taken.status_code == 422 and taken.context["form"].errors["name"]
    assert "Laminering: hours and room" in taken.content.decode()


def test_another_business_keeps_its_own_hours(world, page, glass_shop):
    Bay.objects.filter(pk=glass_shop.pk).update(outside=True)
    assert page.get(hours_page(glass_shop)).status_code == 404
    assert hours_page(glass_shop) not in page.get("/set-up/stages/").content.decode()


def test_only_managers_set_hours(world, as_, glass_shop):
    assert as_(world.bo).post(hours_page(glass_shop), {}).status_code == 403
    assert Bay.objects.get(pk=glass_shop.pk).week == UNTIL_FIVE


@pytest.mark.parametrize("week, words", [
    ([], ""),
    ([[]] * 7, ""),
    (UNTIL_FIVE, "Mon to Fri 8:00-17:00"),
    ([[[480, 1020]]] * 4 + [[[480, 720]], [], [[600, 660]]],
     "Mon to Thu 8:00-17:00; Fri 8:00-12:00; Sun 10:00-11:00"),
    ([[], [[480, 720]], [], [[480, 720]]], "Tue 8:00-12:00; Thu 8:00-12:00"),
])  # fmt: skip
def test_a_week_is_said_in_few_words(week, words):
    assert format_week(week) == words
