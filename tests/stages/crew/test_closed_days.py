"""Days on which nobody works, and one person's days."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from django.test import Client

from stages.crew.calendar import closed_days, runs_of, shifts_of
from stages.crew.closing import close_factory, keep_holidays
from stages.crew.models import ChangedHours, ClosedDays, CrewMember, DaysOff
from stages.crew.public import countries, public_holidays, regions
from stages.floor.load import hands_on
from stages.forecast.forecast import forecast
from tests.world import MONDAY

pytestmark = pytest.mark.postgresql

OSLO = ZoneInfo("Europe/Oslo")


def minutes_a_day(member, first, last):
    member = CrewMember.objects.get(pk=member.pk)
    found = {}
    closed = closed_days(first, last)
    for opens, closes in shifts_of(member, first, last, zone=OSLO, closed=closed):
        day = opens.astimezone(OSLO).date().day
        found[day] = found.get(day, 0) + (closes - opens).total_seconds() / 60
    return found


def test_days_closed_for_one_reason_are_told_as_one_run():
    eve, first, second = date(2026, 12, 24), date(2026, 12, 25), date(2026, 12, 26)
    later = date(2026, 12, 28)
    closed = {eve: "Holidays", first: "Holidays", second: "Stocktaking", later: "Stocktaking"}
    assert runs_of(closed) == [
        (eve, first, "Holidays"), (second, second, "Stocktaking"), (later, later, "Stocktaking"),
    ]


def test_norways_easter_and_national_day_are_days_off():
    """Lov om 1 og 17 mai som høgtidsdager (1947) and helligdagsloven (1995), section 2; Easter
    Sunday of 2026 is 5 April."""
    days = public_holidays("NO", "", date(2026, 1, 1), date(2026, 12, 31))
    assert {
        date(2026, 1, 1), date(2026, 4, 2), date(2026, 4, 3), date(2026, 4, 6), date(2026, 5, 1),
        date(2026, 5, 14), date(2026, 5, 17), date(2026, 5, 25), date(2026, 12, 25),
        date(2026, 12, 26),
    } <= set(days)
    assert date(2026, 5, 18) not in days


def test_a_region_keeps_holidays_its_country_does_not():
    """Epiphany is a day off in Bavaria, not in Berlin (Bayerisches Feiertagsgesetz, art. 1)."""
    january = date(2026, 1, 1), date(2026, 1, 31)
    assert date(2026, 1, 6) in public_holidays("DE", "BY", *january)
    assert date(2026, 1, 6) not in public_holidays("DE", "BE", *january)
    assert ("BY", "Bayern") in regions("DE") and ("NO", "Norway") in countries()


@pytest.mark.django_db
def test_nobody_works_on_a_closed_day_or_a_day_off_unless_their_hours_say_so(world):
    bo = CrewMember.objects.get(user=world.bo)
    week = date(2026, 3, 2), date(2026, 3, 8)
    assert minutes_a_day(bo, *week) == dict.fromkeys([2, 3, 4, 5, 6], 450)
    close_factory(first=date(2026, 3, 3), last=date(2026, 3, 4), why="Floor painted")
    DaysOff.objects.create(member=bo, first=date(2026, 2, 20), last=date(2026, 3, 2))
    DaysOff.objects.create(member=bo, first=date(2026, 3, 6), last=date(2026, 3, 6))
    ChangedHours.objects.create(member=bo, day=date(2026, 3, 4), spans=[[480, 540]])
    ChangedHours.objects.create(member=bo, day=date(2026, 3, 7), spans=[[600, 720]])
    assert minutes_a_day(bo, *week) == {4: 60, 5: 450, 7: 120}


@pytest.mark.django_db
def test_somebody_away_until_nobody_knows_when_is_not_counted_on(world):
    bo = CrewMember.objects.get(user=world.bo)
    bo.away_from = date(2026, 3, 4)
    bo.save()
    assert minutes_a_day(bo, date(2026, 3, 2), date(2026, 3, 31)) == {2: 450, 3: 450}


@pytest.mark.django_db
def test_the_floor_counts_the_crew_of_the_day_after_the_closure(world):
    close_factory(first=date(2026, 3, 2), last=date(2026, 3, 13), why="Winter")
    bo = CrewMember.objects.get(user=world.bo)
    DaysOff.objects.create(member=bo, first=date(2026, 3, 16), last=date(2026, 3, 16))
    hands = {one.name.split()[0]: one.minutes for one in hands_on(date(2026, 3, 2), {1: "QC"})}
    assert hands["Bo"] == 0 and hands["Inka"] == 450


@pytest.mark.django_db(transaction=True)
def test_a_closure_pushes_every_date_back_at_once(world):
    world.released()
    (before,) = forecast(now=MONDAY).boards
    close_factory(first=date(2026, 3, 2), last=date(2026, 3, 22), why="Winter")
    (after,) = forecast(now=MONDAY).boards
    assert after.half >= date(2026, 3, 24) > before.half


@pytest.fixture
def mara(world):
    client = Client()
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    return client


def test_the_manager_closes_days_and_opens_them_again(mara, time_machine):
    time_machine.move_to(datetime(2026, 3, 2, 8, tzinfo=UTC))
    asked = {"close": "1", "first": "2026-07-13", "last": "2026-07-24", "why": "Summer"}
    wrong = mara.post("/set-up/closed-days/", asked | {"last": "2026-07-12"})
    assert wrong.status_code == 422 and "before the first" in wrong.content.decode()
    assert mara.post("/set-up/closed-days/", asked).status_code == 302
    page = mara.get("/set-up/closed-days/").content.decode()
    assert page.count("Summer") == 3  # the row, its button, the run of days
    closed = ClosedDays.objects.get()
    mara.post(f"/set-up/closed-days/{closed.pk}/open/")
    assert not ClosedDays.objects.exists()
    mara.post("/set-up/closed-days/", {"close": "1", "first": "2026-07-13", "why": "One day"})
    assert ClosedDays.objects.get().last == date(2026, 7, 13)


def test_the_manager_chooses_whose_holidays_are_kept(mara):
    mara.post("/set-up/closed-days/", {"keep": "1", "country": "DE", "region": ""})
    assert "Bayern" in mara.get("/set-up/closed-days/").content.decode()
    mara.post("/set-up/closed-days/", {"keep": "1", "country": "DE", "region": "BY"})
    assert date(2026, 1, 6) in closed_days(date(2026, 1, 1), date(2026, 1, 31))
    mara.post("/set-up/closed-days/", {"keep": "1", "country": "NO", "region": "BY"})
    assert date(2026, 5, 17) in closed_days(date(2026, 5, 1), date(2026, 5, 31))
    keep_holidays(country="", region="")
    assert closed_days(date(2026, 1, 1), date(2026, 12, 31)) == {}


def test_a_persons_days_are_kept_on_their_page(world, mara, time_machine):
    time_machine.move_to(datetime(2026, 3, 2, 8, tzinfo=UTC))
    asked = {
        "name": "Bo", "username": "bo", "role": "crew", "is_active": "on", "day_0": "8-16",
        "off-TOTAL_FORMS": "2", "off-INITIAL_FORMS": "0", "off-0-first": "2026-03-09",
        "off-0-last": "2026-03-13", "off-1-first": "2026-04-01",
        "changed-TOTAL_FORMS": "2", "changed-INITIAL_FORMS": "0",
        "changed-0-day": "2026-03-11", "changed-0-spans": "9-11", "changed-1-day": "2026-03-12",
    }
    path = f"/set-up/crew/{world.bo.pk}/"
    wrong = mara.post(path, asked | {"off-0-last": "2026-03-01"})
    assert wrong.status_code == 422 and not DaysOff.objects.exists()
    assert mara.post(path, asked).status_code == 302
    bo = CrewMember.objects.get(user=world.bo)
    assert [(str(o.first), str(o.last)) for o in bo.days_off.all()] == [
        ("2026-03-09", "2026-03-13"), ("2026-04-01", "2026-04-01"),
    ]
    assert [(c.day.day, c.spans) for c in bo.changed_hours.all()] == [(11, [[540, 660]]), (12, [])]
    assert minutes_a_day(bo, date(2026, 3, 9), date(2026, 3, 15)) == {11: 120}
    assert "9:00-11:00" in mara.get(path).content.decode()
