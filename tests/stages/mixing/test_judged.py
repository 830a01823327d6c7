"""A mix outside the range of its resin: asked about on a page, kept and marked from a device."""

import json
import uuid

import pytest
from django.urls import reverse

from stages.log.fold import Kind
from stages.log.models import Entry, Position
from tests.stages.mixing.conftest import AT

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "polyester")]


def fields(**more):
    return {
        "pot": str(uuid.uuid4()),
        "coat": "Lamination, bottom",
        "resin": "Drum polyester",
        "resin_g": "200",
        "hardener_g": "4.5",
        "temperature_c": "18",
        **more,
    }


def on_the_page(client, board, **more):
    own = {"kind": "mixed", "ref": str(uuid.uuid4()), "ticket": board.tickets.get().code}
    step = str(Position.objects.get(board=board).folded["index"])
    return client.post(reverse("log"), {**fields(**more), **own, "step": step})


def from_a_device(client, board, who, **more):
    entry = {
        "ref": str(uuid.uuid4()),
        "who": who.pk,
        "kind": "mixed",
        "ticket": board.tickets.get().code,
        "step": Position.objects.get(board=board).folded["index"],
        "fields": list(fields(**more).items()),
        "happened_at": AT.isoformat(),
        "clock_off_ms": 0,
        "device": "own device",
    }
    answer = client.post(
        reverse("batch"), json.dumps({"entries": [entry]}), content_type="application/json"
    )
    return answer.json()["verdicts"][0]["verdict"]


def mixes():
    return list(Entry.objects.filter(kind=Kind.MIXED).order_by("pk"))


@pytest.mark.parametrize(
    ("typed", "code", "again"),
    [
        ({"hardener_g": "45"}, "percent_high", True),
        ({"hardener_g": "0"}, "no_catalyst", True),
        ({"hardener_g": "0.2"}, "percent_low", True),
        ({"temperature_c": "14.9"}, "cold_catalyst", True),
        ({"temperature_c": "8"}, "cold_catalyst", True),
        ({"temperature_c": "35"}, "hot", True),
        ({"resin_g": "abc"}, "unread_resin", False),
        ({"temperature_c": "warm"}, "unread_temperature", False),
    ],
)
def test_a_page_stops_at_a_mix_outside_its_range_and_keeps_what_was_typed(
    world, as_, to_glass, typed, code, again
):
    board, bo = to_glass(in_hand=True), as_(world.bo)
    answer = on_the_page(bo, board, **typed)
    assert answer.status_code == 422 and mixes() == []
    assert answer.context["mix_found"]["codes"] == code
    assert answer.context["mix_found"]["again"] is again
    html = answer.content.decode()
    assert f'value="{next(iter(typed.values()))}"' in html
    assert ('name="why-dose"' in html.split("data-sure")[0]) is True


def test_said_a_second_time_it_is_logged_with_what_was_wrong(world, as_, to_glass):
    board = to_glass(in_hand=True)
    answer = on_the_page(as_(world.bo), board, hardener_g="45", **{"why-dose": "percent_high"})
    assert answer.status_code == 303
    (entry,) = mixes()
    assert [one["code"] for one in entry.payload["judged"]] == ["percent_high"]
    assert "dose" in entry.payload["overrides"]
    passed = as_(world.mara).get(reverse("overrides"), {"week": "2026-03-02"}).context["passed"]
    assert [(one.board, one.reason) for one in passed] == [
        (board.number, "too much catalyst, 19.91 %")
    ]


@pytest.mark.parametrize("confirmed", [True, False])
def test_what_a_device_kept_is_judged_again_when_it_arrives_and_never_lost(
    world, as_, to_glass, confirmed
):
    board = to_glass(in_hand=True)
    more = {"why-dose": "percent_high"} if confirmed else {}
    assert from_a_device(as_(world.bo), board, world.bo, hardener_g="45", **more) == "accepted"
    (entry,) = mixes()
    assert entry.payload["hardener_g"] == 45
    assert [one["code"] for one in entry.payload["judged"]] == ["percent_high"]
    assert ("dose" in entry.payload.get("overrides", {})) is confirmed
    resin = as_(world.mara).get(reverse("board", args=[board.number])).content.decode()
    resin = resin[resin.index('id="resin"') :]
    assert "Too much catalyst, 19.91 %" in resin
    assert ("nobody confirmed it" in resin) is not confirmed


def test_a_mix_inside_its_range_carries_no_mark(world, as_, to_glass):
    board = to_glass(in_hand=True)
    assert on_the_page(as_(world.bo), board).status_code == 303
    assert "judged" not in mixes()[0].payload


def test_degrees_may_be_typed_in_fahrenheit(world, as_, to_glass):
    board = to_glass(in_hand=True)
    assert on_the_page(as_(world.bo), board, temperature_c="66.2 F").status_code == 303
    assert mixes()[0].payload["temperature_c"] == 19
