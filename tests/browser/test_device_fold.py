"""What the device works out by itself is what the server works out: fold, guards and offer."""

import json
import random
from dataclasses import asdict, replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest

from stages.log.fold import Event, Kind, Position, Refused, fold
from stages.log.guards import MAY_OVERRIDE, Facts, stops
from stages.mixing.coats import whole_coats
from stages.scan.offer import offer_to
from tests.browser.conftest import PHONE

pytestmark = pytest.mark.browser

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
PEOPLE = {1: "Inka", 2: "Bo", 3: "Mara"}
ROLES = {1: "crew", 2: "crew", 3: "manager"}
STAGES = (
    (1, "Shaping", 0, False),
    (2, "Fin boxes", 0, False),
    (3, "Glassing", 16 * 3600, False),
    (4, "Sanding", 0, False),
    (5, "QC", 0, True),
)
ON_THE_DEVICE = (
    *(Kind.TAKEN, Kind.TAKEN, Kind.FINISHED, Kind.FINISHED, Kind.PASSED, Kind.PAUSED),
    *(Kind.SENT_BACK, Kind.HELD, Kind.LET_GO, Kind.UNDONE, Kind.JOINED, Kind.LEFT, Kind.MIXED),
)
ELSEWHERE = (Kind.REISSUED, Kind.SENT_OUT, Kind.CAME_BACK, Kind.SCRAPPED, Kind.CANCELLED)
SEQUENCES, LONGEST = 300, 30


def released() -> Position:
    steps = [
        {"stage": pk, "name": name, "minutes": 60, "rest_s": rest_s, "inspects": inspects}
        for pk, name, rest_s, inspects in STAGES
    ]
    payload = {"steps": steps, "revision": 1}
    return fold(None, Event(Kind.RELEASED, at=START, by=3, by_name="Mara", payload=payload))


def payload_of(kind: Kind, chance: random.Random, position: Position) -> dict:
    match kind:
        case Kind.TAKEN:
            return {"ahead": chance.randrange(7)} if chance.random() < 0.15 else {}
        case Kind.FINISHED | Kind.PASSED:
            rest = {"rest_s": chance.randrange(0, 90_000, 77), "rest_why": "epoxy at 14 C"}
            return rest if chance.random() < 0.3 else {}
        case Kind.SENT_BACK:
            to = chance.randrange(-1, len(position.steps) + 1)
            return {"to": to, "defect": chance.choice(["pinholes", "pinholes", ""])}
        case Kind.HELD | Kind.SCRAPPED:
            return {"reason": chance.choice(["damaged", "damaged", " "])}
        case Kind.UNDONE:
            last = position.last[0].ref if position.last else ""
            return {"ref": chance.choice([last, last, last, "another"])}
        case Kind.MIXED:
            coat = chance.choice(["Lamination, bottom", "Filler coat, deck", "Laps", ""])
            return {"pot": chance.choice(["p-1", "p-1", ""]), "coat": coat}
        case Kind.REISSUED:
            return {"revision": position.revision + 1}
        case Kind.SENT_OUT:
            return {"bay": 9, "bay_name": "The glass shop", "manifest": 1, "due": "2026-04-01"}
        case Kind.CAME_BACK:
            return {"done": 1}
    return {}


def event(chance: random.Random, position: Position, at: datetime, ref: str) -> Event:
    rare = chance.random() < 0.05
    kind = chance.choice(ELSEWHERE if rare else ON_THE_DEVICE)
    if chance.random() < 0.5:  # as work goes
        done = Kind.PASSED if position.step and position.step.inspects else Kind.FINISHED
        kind = done if position.state == "in_hand" else Kind.TAKEN
    # Often one who has the board in hand, as it is on a floor.
    hands = [position.holder or 1, *(helper.who for helper in position.helpers)]
    if len(hands) > 1 and chance.random() < 0.3:
        kind = Kind.LEFT
    by = chance.choice([*hands, *hands, 1, 2, 3])
    codes = ("resting", "old_ticket", "not_yours", "out_of_order", "no_skill", "wrong_bay")
    return Event(
        kind=kind,
        at=at,
        by=by,
        by_name=PEOPLE[by],
        step=chance.choice([None, position.index, position.index, position.index, 0]),
        revision=chance.choice([None, position.revision, position.revision, 1]),
        payload=payload_of(kind, chance, position),
        overrides=frozenset(code for code in codes if chance.random() < 0.4),
        ref=ref,
    )


def facts(chance: random.Random) -> Facts:
    return Facts(
        role=chance.choice(["crew", "crew", "manager"]),
        skills=frozenset(pk for pk, *_ in STAGES if chance.random() < 0.4),
        bay=chance.choice([None, 1, 2]),
        bay_name="Shaping bay",
        stage_bay=chance.choice([None, 1, 2]),
        stage_bay_name="Wet room",
        one_at_a_time=chance.random() < 0.5,
        elsewhere=tuple(chance.sample([1041, 1042, 1043], chance.randrange(3))),
        to_confirm=tuple(chance.sample(["width", "tail shape"], chance.randrange(3))),
    )


def told(one: Event) -> dict:
    whole = asdict(one)
    whole["at"] = round(one.at.timestamp() * 1000)
    return {**whole, "kind": one.kind.value, "overrides": sorted(one.overrides)}


def facts_told(one: Facts) -> dict:
    return {**asdict(one), "skills": sorted(one.skills)}


def stop_told(one: Refused) -> list:
    return [one.code, one.sentence, one.passable]


def offered(position: Position, known: Facts, by: int, now: datetime) -> dict:
    user = SimpleNamespace(pk=by, name=PEOPLE[by], role=ROLES[by], manages=ROLES[by] != "crew")
    found = offer_to(user, position, revision=1, now=now, facts=replace(known, role=user.role))
    return {
        "state": found.state.value,
        "main": found.main and found.main.value,
        "label": found.label,
        "stops": [[one.code, one.sentence, one.who_may] for one in found.stops],
        **{
            name: getattr(found, name)
            for name in ("yours", "receives", "pause", "join", "leave", "hold", "may_pass")
        },
        "coats_open": list(found.coats_open),
        "word": found.word,
        "send_back_to": [index for index, _ in found.send_back_to],
        "ahead": [index for index, _ in found.ahead],
    }


def day(seed: int) -> tuple[dict, list]:
    """One board's day: what a device is given, and what the server makes of each entry."""
    chance = random.Random(seed)
    position, at, given, made = released(), START, [], []
    for number in range(chance.randrange(4, LONGEST)):
        at += timedelta(milliseconds=chance.choice([700, 30_000, 61_000, 5_000_123, 70_000_000]))
        one, known, by = (
            event(chance, position, at, f"{seed}-{number}"),
            facts(chance),
            1 + number % 3,
        )
        before = position
        try:
            position = fold(position, one)
            result = {"position": position}
        except Refused as refused:
            result = {"refused": stop_told(refused)}
        ahead = one.payload.get("ahead", 0)
        if 0 <= ahead < len(before.steps):
            result["stops"] = [stop_told(stop) for stop in stops(before, one, known)]
        offer = offered(position, known, by, at)
        given.append(
            {
                "event": told(one),
                "facts": facts_told(known),
                "by": {"id": by, "name": PEOPLE[by], "role": ROLES[by]},
                # What a device never logs reaches it as a new page.
                "page": position.to_json() if position is not before else None,
                "elsewhere": one.kind in ELSEWHERE,
                "stops": "stops" in result,
            }
        )
        made.append({**result, "offer": offer, "on_device": one.kind not in ELSEWHERE})
    return {"position": released().to_json(), "entries": given}, made


BY_THE_DEVICE = """
async (given) => {
  const { days, may_override, stages } = JSON.parse(given);
  const [{ fold, fromJson, toJson, Refused }, { stops }, { offerTo }] = await Promise.all(
    ["fold", "guards", "offer"].map((name) => import(`/static/js/scan/${name}.js`)),
  );
  const stop = (one) => [one.code, one.sentence, one.passable];
  const told = days.map((day) => {
    let position = fromJson(day.position);
    return day.entries.map(({ event, facts, by, page, elsewhere, stops: asked }) => {
      const result = {};
      if (asked) result.stops = stops(position, event, facts).map(stop);
      if (elsewhere) {
        if (page) position = fromJson(page);
      } else {
        try {
          position = fold(position, event);
          result.position = toJson(position);
        } catch (error) {
          if (!(error instanceof Refused)) throw error;
          result.refused = stop(error);
        }
      }
      const whole = offerTo(by, position, {
        board: { may_override, revision: 1, stages },
        facts: { ...facts, role: by.role },
        now: event.at,
      });
      const { state, label, yours, receives, pause, join, leave, hold, may_pass } = whole;
      result.offer = {
        ...{ state, label, yours, receives, pause, join, leave, hold, may_pass },
        main: whole.main_kind,
        stops: whole.stops.map((one) => [one.code, one.sentence, one.who_may]),
        send_back_to: whole.send_back_to.map(({ index }) => index),
        coats_open: whole.coats_open,
        word: whole.word,
        ahead: whole.ahead.map(({ index }) => index),
      };
      return result;
    });
  });
  return JSON.stringify(told);
}
"""


def read(folded: dict) -> Position:
    def known(whole):
        return {name: value for name, value in whole.items() if value is not None}

    return Position.from_json({**known(folded), "steps": [known(step) for step in folded["steps"]]})


def test_the_device_folds_guards_and_offers_as_the_server_does(device):
    days = [day(seed) for seed in range(SEQUENCES)]
    page = device(PHONE).page
    page.goto("/sign-in/")
    given = {
        "days": [given for given, _ in days],
        "may_override": {code: sorted(roles) for code, roles in MAY_OVERRIDE.items()},
        "stages": {pk: {"coats": whole_coats(name)} for pk, name, *_ in STAGES},
    }
    by_device = json.loads(page.evaluate(BY_THE_DEVICE, json.dumps(given)))
    seen = {"position": 0, "refused": set(), "stops": set(), "kinds": set()}
    for seed, ((given, made), answers) in enumerate(zip(days, by_device, strict=True)):
        for entry, server, here in zip(given["entries"], made, answers, strict=True):
            where = f"seed {seed}: {entry['event']}"
            assert here.get("stops") == server.get("stops"), where
            assert here["offer"] == server["offer"], where
            seen["stops"] |= {code for code, *_ in server.get("stops", ())}
            if not server["on_device"]:
                continue
            assert here.get("refused") == server.get("refused"), where
            if "refused" in server:
                seen["refused"].add(server["refused"][0])
                continue
            assert read(here["position"]) == server["position"], where
            seen["position"] += 1
            seen["kinds"].add(entry["event"]["kind"])
    # The days were no empty ones: every kind went through, and every stop stood in the way.
    assert seen["position"] > 1000
    assert seen["kinds"] == {kind.value for kind in ON_THE_DEVICE}
    assert seen["stops"] == {"no_skill", "to_confirm", "wrong_bay", "two_at_once"}
    assert seen["refused"] >= {
        *("moved_on", "old_ticket", "in_hand", "yours_already", "held", "ready", "resting"),
        *("not_in_hand", "not_yours", "must_judge", "not_judging", "no_such_step", "no_defect"),
        *("no_reason", "not_held", "undo_not_last", "undo_not_yours", "undo_too_late"),
        *("not_helping", "no_pot", "out_of_order", "started", "closed", "away"),
    }
