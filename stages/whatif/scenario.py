"""A scenario: what is asked of the floor, each wish in words, as changes, and as what would be
written down if it were applied."""

from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from stages.crew.hours import format_day, format_week
from stages.crew.models import CrewMember
from stages.flow.change import (
    Away,
    Change,
    Joins,
    Learns,
    Leaves,
    Limit,
    Opens,
    Rest,
    Session,
    Takes,
    Works,
)
from stages.routes.models import Bay, Stage
from stages.whatif.forms import EVERYONE
from stages.whatif.ground import Ground
from stages.whatif.hours import longer, weekly, with_saturday


@dataclass(frozen=True)
class DaysAway:
    member: int
    first: date
    last: date


@dataclass(frozen=True)
class Week:
    member: int
    week: list


@dataclass(frozen=True)
class BayWeek:
    bay: int
    week: list


@dataclass(frozen=True)
class Skill:
    """One stage more or fewer on a person's list."""

    member: int
    stage: int
    can: bool


@dataclass(frozen=True)
class OfStage:
    stage: int
    field: str
    value: Decimal | int


@dataclass(frozen=True)
class Cap:
    boards: int


Write = DaysAway | Week | BayWeek | Skill | OfStage | Cap


@dataclass(frozen=True)
class Wish:
    """`writes` are empty for what the factory cannot decide; `cannot` says why. `share` is of the
    orders, where they are asked about; `told` what stands now and what would, for the page that
    asks once more."""

    words: str
    changes: tuple[Change, ...] = ()
    writes: tuple[Write, ...] = ()
    told: tuple[str, ...] = ()
    cannot: str = ""
    share: float = 1.0


def wishes(asked: dict, ground: Ground) -> list[Wish]:
    """In the order of the page, from a valid form's data."""
    found = [*_away(asked, ground), *_hands(asked, ground), *_hours(asked, ground)]
    found += [*_bay(asked, ground), *_skills(asked, ground), *_cap(asked, ground), *_orders(asked)]
    for index, stage in enumerate(ground.stages):
        found += _of_stage(asked, index, stage)
    return found


def _away(asked: dict, ground: Ground) -> Iterator[Wish]:
    if not asked["away_who"]:
        return
    hand, member = _person(asked["away_who"], ground)
    first, last = asked["away_from"], asked["away_until"]
    end = ground.minute(date.fromordinal(last.toordinal() + 1))
    days = f"{_day(first)} to {_day(last)}"
    yield Wish(
        f"{member} is away from {days}",
        (Away(hand, ground.minute(first), end),),
        (DaysAway(member.pk, first, last),),
        (f"{member}: days off from {days}",),
    )


def _hands(asked: dict, ground: Ground) -> Iterator[Wish]:
    if not asked["hands_like"]:
        return
    hand, like = _person(asked["hands_like"], ground)
    places = {str(stage.pk): index for index, stage in enumerate(ground.stages)}
    able = [places[pk] for pk in asked["hands_stages"]]
    names = ", ".join(ground.stages[index].name for index in able)
    own = ground.floor.crew[hand]
    yield Wish(
        f"another pair of hands for {names}, with the hours of {like}",
        (Joins(replace(own, pace=dict.fromkeys(able, 1.0), away=False)),),
        cannot="Nobody can be hired here. Add the person under Set-up, Crew, once there is one.",
    )


def _hours(asked: dict, ground: Ground) -> Iterator[Wish]:
    who, minutes = asked["hours_who"], int((asked["hours_week"] or 0) * 60)
    if not who:
        return
    everyone = who == EVERYONE
    chosen = list(enumerate(ground.people)) if everyone else [_person(who, ground)]
    changes, writes, told = [], [], []
    for hand, member in chosen:
        week = longer(member.week, minutes)
        if asked["saturday"]:
            week = with_saturday(week, asked["saturday"])
        if weekly(week) == weekly(member.week):
            continue
        then = copy(member)
        then.week = week
        changes.append(Works(hand, ground.shifts(then)))
        writes.append(Week(member.pk, week))
        told.append(f"{member}: {_h(weekly(member.week))} a week becomes {_h(weekly(week))}")
    name = "everyone" if everyone else str(chosen[0][1])
    parts = []
    if minutes:
        parts.append(f"{_h(abs(minutes))} a week {'more' if minutes > 0 else 'fewer'}")
    if asked["saturday"]:
        parts.append(f"Saturdays {format_day(asked['saturday'])}")
    yield Wish(
        f"{name} works {' and '.join(parts)}", tuple(changes), tuple(writes), tuple(told),
        cannot="" if writes else "This changes no hours: look at the week under Set-up, Crew.",
    )  # fmt: skip


def _bay(asked: dict, ground: Ground) -> Iterator[Wish]:
    """Every stage done in the bay keeps its hours."""
    if not asked["bay"]:
        return
    there = [
        (index, stage) for index, stage in enumerate(ground.stages)
        if str(stage.bay_id) == asked["bay"]
    ]
    bay, minutes = there[0][1].bay, int(asked["bay_day"] * 60)
    week = longer(bay.week, minutes * sum(map(bool, bay.week)))
    words = f"{bay} is open {_h(abs(minutes))} a day {'longer' if minutes > 0 else 'less'}"
    if not any(week) or week == bay.week:
        yield Wish(words, cannot=f"That cannot be: {bay} is open {format_week(bay.week)}.")
        return
    hours = ground.open_hours(Bay(week=week))
    yield Wish(
        words,
        tuple(Opens(index, hours) for index, _ in there),
        (BayWeek(bay.pk, week),),
        (f"{bay}: open {format_week(bay.week)} becomes {format_week(week)}",),
    )


def _skills(asked: dict, ground: Ground) -> Iterator[Wish]:
    places = {str(stage.pk): index for index, stage in enumerate(ground.stages)}
    for can, pairs in ((True, asked["teach"]), (False, asked["stop"])):
        for pair in pairs:
            person, stage = pair.split("-")
            hand, member = _person(person, ground)
            name = ground.stages[places[stage]].name
            verb = "also does" if can else "does no more"
            yield Wish(
                f"{member} {verb} {name}",
                ((Learns if can else Leaves)(hand, places[stage]),),
                (Skill(member.pk, int(stage), can),),
                (f"{member}: {name} {'onto' if can else 'off'} the list of what they can do",),
            )


def _cap(asked: dict, ground: Ground) -> Iterator[Wish]:
    if asked["cap"] is None:
        return
    words = f"at most {asked['cap']} boards on the floor" if asked["cap"] else "no limit"
    before = f"at most {ground.floor.limit}" if ground.floor.limit else "no limit"
    yield Wish(
        words if asked["cap"] else "no limit to the boards on the floor",
        (Limit(asked["cap"]),),
        (Cap(asked["cap"]),),
        (f"Boards on the floor: {before} becomes {words.replace(' boards on the floor', '')}",),
    )


def _orders(asked: dict) -> Iterator[Wish]:
    if percent := asked["orders"]:
        yield Wish(
            f"{abs(percent)} % {'more' if percent > 0 else 'fewer'} orders",
            cannot="Orders come from riders; nothing here can be set for them.",
            share=1 + percent / 100,
        )


def _of_stage(asked: dict, index: int, stage: Stage) -> Iterator[Wish]:
    if (rest := asked.get(f"rest_{stage.pk}")) is not None and rest != stage.rest_hours:
        yield Wish(
            f"a rest of {float(rest):g} h after {stage.name}",
            (Rest(index, float(rest) * 60),),
            (OfStage(stage.pk, "rest_hours", rest),),
            (f"{stage.name}: rest of {float(stage.rest_hours):g} h becomes {float(rest):g} h",),
        )
    if session := asked.get(f"session_{stage.pk}"):
        before = f"{stage.session}" if stage.session else "what the log says"
        yield Wish(
            f"{session} at {stage.name} in one go",
            (Session(index, session),),
            (OfStage(stage.pk, "session", session),),
            (f"{stage.name}: boards done in one go, {before}, becomes {session}",),
        )
    if percent := asked.get(f"speed_{stage.pk}"):
        yield Wish(
            f"{stage.name} takes {abs(percent)} % {'longer' if percent > 0 else 'less time'}",
            (Takes(index, 1 + percent / 100),),
            cannot="How long work takes is learned from the log; it cannot be set.",
        )


def _person(pk: str, ground: Ground) -> tuple[int, CrewMember]:
    return next(
        (hand, member) for hand, member in enumerate(ground.people) if str(member.pk) == pk
    )


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"


def _h(minutes: int) -> str:
    return f"{minutes / 60:g} h" if minutes % 6 == 0 else f"{minutes / 60:.1f} h"
