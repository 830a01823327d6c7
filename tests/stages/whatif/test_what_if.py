"""The page: an address is a scenario, and nothing is so until it is applied."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from urllib.parse import urlencode

import numpy as np
import pytest
from django.core.cache import cache

from stages.crew.models import CrewMember, DaysOff
from stages.flow.change import Joins, Leaves
from stages.flow.outlook import Compared
from stages.forecast.models import ForecastSettings
from stages.forecast.queries import forecast_settings
from stages.log.fold import Kind
from stages.routes.actions import set_bay_hours
from stages.routes.models import Bay, Stage
from stages.whatif.answer import Figure, Moved, answer
from stages.whatif.forms import WhatIfForm
from stages.whatif.ground import ground_now
from stages.whatif.scenario import Wish, wishes


def asked(floor, **fields):
    ground = ground_now(now=floor.now)
    form = WhatIfForm(fields, ground=ground)
    assert form.is_valid(), form.errors
    return wishes(form.cleaned_data, ground), ground


def page(client, **fields):
    return client.get(f"/what-if/?{urlencode(fields, doseq=True)}")


def test_the_page_plays_nothing_until_it_is_asked(floor, as_):
    shown = page(as_(floor.mara))
    assert shown.status_code == 200 and "answer" not in shown.context
    assert "Bo is away for two weeks" in shown.content.decode()


def test_an_address_asks_only_what_was_filled_in(floor, as_):
    answered = page(as_(floor.mara), away_who="", cap=3, orders="")
    assert answered.status_code == 302 and answered.url == "/what-if/?cap=3"


def test_nothing_asked_for_is_exactly_todays_floor(floor):
    ground = ground_now(now=floor.now)
    same = answer([], ground)
    assert same.boards == []
    assert {(f.found.more, f.found.give) for f in same.figures} == {(0.0, 0.0)}
    assert {f.words for f in same.figures} == {"no difference"}
    assert same.broken[0] == same.broken[1] <= same.due


def test_a_glasser_away_until_long_after_is_worse(floor, as_):
    shown = page(
        as_(floor.mara), away_who=floor.bo.pk, away_from="2026-03-30", away_until="2026-06-30"
    ).context["answer"]
    figures = {figure.name: figure for figure in shown.figures}
    assert figures["Boards that pass QC"].found.after == 0.0
    assert figures["Boards that pass QC"].verdict == "worse"
    lost = {board.number for board in shown.lost}
    assert lost == {board.number for board in [*floor.there, *floor.waiting]}


def test_a_board_lost_because_its_hands_are_away_says_whose_they_are(floor, as_):
    begun = floor.there[0]
    floor.log(begun, Kind.TAKEN, floor.inka, floor.now - timedelta(hours=1))
    shown = page(
        as_(floor.mara), away_who=floor.inka.pk, away_from="2026-03-30", away_until="2026-06-30"
    )
    lost = {board.number: board.begun_by for board in shown.context["answer"].lost}
    assert lost[begun.number] == "Inka" and lost[floor.there[1].number] == ""
    assert "(begun by Inka)" in shown.content.decode()


def test_several_changes_hold_at_once(floor):
    found, ground = asked(
        floor, hands_like=floor.bo.pk, hands_stages=[floor.stages["Glassing"].pk],
        stop=[f"{floor.bo.pk}-{floor.stages['Fin boxes'].pk}"], orders=50,
    )
    changes = [type(change) for wish in found for change in wish.changes]
    assert changes == [Joins, Leaves]
    assert [wish.share for wish in found] == [1.0, 1.0, 1.5]
    bo = ground.floor.crew[ground.people.index(CrewMember.objects.get(user=floor.bo))]
    glassing = ground.stages.index(floor.stages["Glassing"])
    assert found[0].changes[0].hand == replace(bo, pace={glassing: 1.0})
    assert "another pair of hands for Glassing" in found[0].words


def test_unchanged_hours_are_the_very_shifts_of_the_floor(floor):
    ground = ground_now(now=floor.now)
    for member, hand in zip(ground.people, ground.floor.crew, strict=True):
        assert np.allclose(ground.shifts(member), hand.shifts)


def test_saturdays_add_shifts_and_a_week_says_what_it_becomes(floor):
    (wish,), ground = asked(floor, hours_who=floor.bo.pk, saturday="8:00-12:00", hours_week="5")
    hand = ground.people.index(CrewMember.objects.get(user=floor.bo))
    extra = len(wish.changes[0].shifts) - len(ground.floor.crew[hand].shifts)
    assert extra in (60, 61)  # Saturdays of 420 days
    assert wish.told == ("Bo: 37.5 h a week becomes 46.5 h",)


def test_hours_of_somebody_without_a_week_cannot_be_changed(floor, as_):
    CrewMember.objects.filter(user=floor.sela).update(week=[])
    (wish,), _ = asked(floor, hours_who=floor.sela.pk, hours_week="5")
    assert not wish.writes and "changes no hours" in wish.cannot
    assert "changes no hours" in page(
        as_(floor.mara), hours_who=floor.sela.pk, hours_week="5"
    ).content.decode()


@pytest.fixture
def glass_shop(floor):
    week = [[[480, 720], [780, 1020]]] * 4 + [[[480, 720]]]
    bay = Bay.objects.get(name="Glassing")
    return set_bay_hours(bay=bay, week=week, by=floor.odd, at=floor.now)


def test_a_bay_open_an_hour_longer_says_what_its_hours_are_and_become(floor, glass_shop):
    (wish,), ground = asked(floor, bay=glass_shop.pk, bay_day="1")
    assert wish.words == "Glassing is open 1 h a day longer"
    assert wish.told == (
        "Glassing: open Mon to Thu 8:00-12:00, 13:00-17:00; Fri 8:00-12:00 becomes "
        "Mon to Thu 8:00-12:00, 13:00-18:00; Fri 8:00-13:00",
    )
    (opens,) = wish.changes
    assert ground.stages[opens.stage].name == "Glassing"
    own = ground.floor.stages[opens.stage].hours
    assert ground.open_hours(glass_shop) == own
    # The last span of each day, an hour longer; what else there is stays as it is.
    longer = {shift for shift in opens.hours if shift not in own}
    assert longer <= {(start, end + 60) for start, end in own}
    assert len(longer) == sum(weekday < 5 for weekday in days_from(floor.now, 421))


def days_from(now, many):
    return [(now + timedelta(days=n)).weekday() for n in range(many)]


def test_a_bays_hours_are_written_when_applied_and_not_before(floor, glass_shop, as_):
    manager = as_(floor.mara)
    address = f"/what-if/apply/?{urlencode({'bay': glass_shop.pk, 'bay_day': '-0.5'})}"
    mark = manager.get(address).context["mark"]
    assert Bay.objects.get(pk=glass_shop.pk).week == glass_shop.week
    assert manager.post(address, {"mark": mark}).url == "/what-if/"
    bay = Bay.objects.get(pk=glass_shop.pk)
    assert bay.week == [[[480, 720], [780, 990]]] * 4 + [[[480, 690]]]
    assert (bay.week_set_by, bay.week_set_at) == (floor.mara, floor.now)


def test_a_bay_is_never_shortened_to_no_hours_which_would_open_it_always(floor, glass_shop):
    (wish,), _ = asked(floor, bay=glass_shop.pk, bay_day="-12")
    assert not wish.writes and not wish.changes
    assert "Glassing is open Mon to Thu" in wish.cannot


def test_a_bay_without_hours_of_its_own_is_not_asked_about(floor, as_):
    shown = page(as_(floor.mara))
    assert shown.context["form"].bay_fields == []
    assert "Which bay" not in shown.content.decode()


def test_a_bays_hours_today_stand_in_the_question(floor, glass_shop, as_):
    assert "Glassing: Mon to Thu 8:00-12:00, 13:00-17:00; Fri" in page(
        as_(floor.mara)
    ).content.decode()


@pytest.mark.parametrize("fields, where", [
    ({"bay_day": "1"}, "bay"),
    ({"bay": "1"}, "bay"),
    ({"away_from": "2026-04-01"}, "away_who"),
    ({"away_who": "bo", "away_from": "2026-04-09", "away_until": "2026-04-02"}, "away_until"),
    ({"hands_like": "bo"}, "hands_stages"),
    ({"saturday": "8:00-12:00"}, "hours_who"),
    ({"saturday": "early", "hours_who": "all"}, "saturday"),
    ({"orders": "300"}, "orders"),
    ({"teach": "7-999"}, "teach"),
])  # fmt: skip
def test_what_cannot_be_played_says_where(floor, as_, fields, where):
    fields = {name: floor.bo.pk if value == "bo" else value for name, value in fields.items()}
    shown = page(as_(floor.mara), **fields)
    assert shown.status_code == 422
    assert where in shown.context["form"].errors


SCENARIO = {"cap": 6, "orders": 20, "away_from": "2026-04-06", "away_until": "2026-04-10"}


def scenario(floor) -> str:
    glassing, fins, plug = (floor.stages[name] for name in ("Glassing", "Fin boxes", "Plug"))
    return urlencode({
        **SCENARIO, "away_who": floor.bo.pk, "hours_who": floor.sela.pk, "hours_week": -5,
        "teach": f"{floor.bo.pk}-{plug.pk}", "stop": f"{floor.bo.pk}-{fins.pk}",
        f"rest_{glassing.pk}": "30", f"session_{glassing.pk}": 3,
    })  # fmt: skip


def test_applying_asks_once_more_and_lists_exactly_what_it_writes(floor, as_):
    told = as_(floor.mara).get(f"/what-if/apply/?{scenario(floor)}").context
    assert told["told"] == [
        "Bo: days off from 6 Apr to 10 Apr",
        "Sela: 37.5 h a week becomes 32.5 h",
        "Bo: Plug onto the list of what they can do",
        "Bo: Fin boxes off the list of what they can do",
        "Boards on the floor: no limit becomes at most 6",
        "Glassing: rest of 16 h becomes 30 h",
        "Glassing: boards done in one go, what the log says, becomes 3",
    ]
    assert [wish.words for wish in told["cannot"]] == ["20 % more orders"]
    assert not DaysOff.objects.exists()  # asked, not written


def test_what_is_applied_is_written_where_it_is_always_decided(floor, as_):
    manager, address = as_(floor.mara), f"/what-if/apply/?{scenario(floor)}"
    mark = manager.get(address).context["mark"]
    assert manager.post(address, {"mark": mark}).url == "/what-if/"
    bo = CrewMember.objects.get(user=floor.bo)
    assert [(d.first, d.last) for d in bo.days_off.all()] == [(date(2026, 4, 6), date(2026, 4, 10))]
    assert {s.name for s in bo.skills.all()} == {"Glassing", "Gloss and polish", "Plug"}
    assert CrewMember.objects.get(user=floor.sela).week[0] == [[480, 720], [750, 900]]
    glassing = Stage.objects.get(name="Glassing")
    assert (glassing.rest_hours, glassing.session) == (Decimal(30), 3)
    settings = forecast_settings()
    assert (settings.floor_limit, settings.changed_by, settings.changed_at) == (
        6, floor.mara, floor.now
    )


def test_what_changed_since_it_was_shown_is_shown_again(floor, as_):
    manager, address = as_(floor.mara), f"/what-if/apply/?{scenario(floor)}"
    mark = manager.get(address).context["mark"]
    Stage.objects.filter(name="Glassing").update(rest_hours=20)
    again = manager.post(address, {"mark": mark})
    assert again.status_code == 409 and "somebody changed something" in again.content.decode()
    assert not DaysOff.objects.exists()


def test_a_last_skill_cannot_be_taken_and_nothing_else_is_written_then(floor, as_):
    stages = [floor.stages[name].pk for name in ("Sanding", "Plug")]
    asked = urlencode({"stop": [f"{floor.sela.pk}-{pk}" for pk in stages], "cap": 4}, doseq=True)
    manager, address = as_(floor.mara), f"/what-if/apply/?{asked}"
    refused = manager.post(address, {"mark": manager.get(address).context["mark"]})
    assert refused.status_code == 422 and "no stage left" in refused.content.decode()
    assert CrewMember.objects.get(user=floor.sela).skills.count() == 2
    assert forecast_settings().floor_limit == 0


def test_more_orders_cannot_be_applied_and_say_so(floor, as_):
    manager = as_(floor.mara)
    assert "Orders come from riders" in page(manager, orders=20).content.decode()
    assert manager.get("/what-if/apply/?orders=20").url == "/what-if/?orders=20"


def test_more_orders_show_in_the_book_of_a_floor_that_takes_no_more(floor):
    """Turnaround begins at release: alone it would show no change."""
    ForecastSettings.objects.create(pk=1, floor_limit=1)
    cache.clear()
    ground = ground_now(now=floor.now)
    assert ground.book == 2
    asked = [Wish("twice the orders", share=2.0)]
    figures = {figure.name: figure.found for figure in answer(asked, ground).figures}
    book = next(found for name, found in figures.items() if "order book" in name)
    assert book.more > 0
    assert {"Ordered now, half are ready within"} <= set(figures)


def test_figures_come_as_a_file(floor, as_):
    answered = page(as_(floor.mara), cap=2, csv="what-if")
    assert answered["Content-Type"].startswith("text/csv")
    assert b"Boards that pass QC" in answered.content


def test_words_say_a_difference_only_where_it_can_be_told():
    told = Figure("Boards that pass QC", "boards a week", 1, Compared(14, 1, 16.1, 1, 2.1, 0.4))
    assert told.words == "2.1 boards a week more, give or take 0.4" and told.verdict == "better"
    less = Figure("Half take at most", "days", -1, Compared(9, 1, 8, 1, -1.0, 0.3), "less")
    assert less.words == "1.0 days less, give or take 0.3" and less.verdict == "better"
    chance = Figure("Promises lost", "promises", -1, Compared(3, 1, 3.2, 1, 0.2, 0.4))
    assert "no difference that can be told" in chance.words and chance.verdict == ""


def test_a_board_is_lost_when_it_falls_under_the_factorys_line(floor):
    found, ground = asked(floor, away_who=floor.bo.pk, away_until="2026-06-30")
    moved = answer(found, ground).boards
    assert moved and {type(board) for board in moved} == {Moved}
    assert all(b.word == "lost" and b.before >= 0.8 > b.after for b in moved)


def test_only_managers_ask(floor, as_):
    assert as_(floor.bo).get("/what-if/").status_code == 403
    assert as_(floor.cleo).get("/what-if/apply/").status_code == 403


def test_an_empty_factory_has_nothing_to_play(world, as_):
    assert "there is nothing to play" in page(as_(world.mara), orders=20).content.decode()
