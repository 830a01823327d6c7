"""What a device holds of a board for the hours without signal."""

import json
import re
import uuid
from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse

from stages.log.fold import Kind
from stages.log.models import Entry, Position
from tests.stages.scan.test_scan import code_of, tap
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
BACKEND = "orders.accounts.backends.PasswordBackend"


def kept(client, board) -> str:
    return client.get(reverse("ticket", args=[code_of(board)]), {"keep": "1"}).content.decode()


def board_in(text) -> dict:
    told = re.search(r'<script id="board" type="application/json">(.*?)</script>', text, re.S)
    return json.loads(told[1])


def test_it_names_nobody_and_holds_no_token(world, as_):
    text = kept(as_(world.inka), world.released())
    assert "Inka" not in text
    assert "csrfmiddlewaretoken" not in text
    assert "data-who=" not in text


def test_it_is_the_same_whoever_fetched_it(world, as_):
    board = world.released()
    with time_machine.travel(MONDAY, tick=False):
        texts = [kept(as_(one), board) for one in (world.inka, world.bo, world.mara)]
    varying = re.compile(r'"x-csrftoken": "[^"]*"|name="(ref|pot)" value="[^"]*"')
    first, *others = [varying.sub("", text).splitlines() for text in texts]
    for other in others:
        assert [(one, two) for one, two in zip(first, other, strict=True) if one != two] == []


def test_it_has_the_card_of_every_step_to_come(world, as_):
    board = world.released()
    world.worked(board, until="Glassing")
    text = kept(as_(world.bo), board)
    steps = Position.objects.get(board=board).folded["steps"]
    for index, step in enumerate(steps):
        there = f'<template data-stage="{step["stage"]}" data-attempt="1">' in text
        assert there == (index >= 2), step["name"]
        if there:
            assert f"<caption>{step['name']}</caption>" in text


def test_its_board_is_the_position_and_what_guards_need(world, as_):
    board = world.released()
    told = board_in(kept(as_(world.inka), board))
    position = Position.objects.get(board=board)
    assert told["position"] == position.folded
    assert (told["code"], told["number"], told["revision"]) == (code_of(board), board.number, 1)
    stage = told["stages"][str(position.stage_id)]
    assert (stage["name"], stage["bay"]) == ("Shaping", position.stage.bay_id)
    assert told["may_override"]["old_ticket"] == ["manager", "owner"]


def test_fetching_it_keeps_nobody_signed_in_on_a_tablet(world, as_):
    client = as_(world.inka)
    session = client.session
    session["on_tablet"] = True
    session.set_expiry(60)
    session.save()
    kept(client, world.released())
    assert client.session.get_expiry_age() == 60


def test_a_board_that_comes_from_another_bay_is_taken_as_good_or_sent_back(world, as_):
    board = world.released()
    at = world.worked(board, until="Glassing") + timedelta(hours=3)
    with time_machine.travel(at, tick=False):
        bo = as_(world.bo)
        text = bo.get(reverse("ticket", args=[code_of(board)])).content.decode()
        assert "Take in hand, it is good" in text
        assert 'value="sent_back"' in text
        answer = tap(bo, board, "sent_back", to="0", defect="twist", note="twisted")
        assert answer.status_code == 303
    assert Position.objects.get(board=board).stage.name == "Shaping"
    other = world.released()
    with time_machine.travel(world.worked(other, until="Glassing") + timedelta(hours=3)):
        assert tap(bo, other, "taken", condition="good").status_code == 303
    entry = Entry.objects.get(board=other, kind=Kind.TAKEN, stage__name="Glassing")
    assert entry.payload == {"condition": "good"}


def test_a_second_pair_of_hands_joins_and_leaves(world, as_):
    board = world.released()
    with time_machine.travel(MONDAY, tick=False) as clock:
        tap(as_(world.inka), board, "taken")
        mara = as_(world.mara)
        address = reverse("ticket", args=[code_of(board)])
        assert 'value="joined"' in mara.get(address).content.decode()
        assert tap(mara, board, "joined").status_code == 303
        text = mara.get(address).content.decode()
        assert "You help Inka" in text
        assert 'value="left"' in text
        clock.shift(timedelta(minutes=20))
        assert tap(mara, board, "left").status_code == 303
    step = Position.objects.get(board=board).folded["steps"][0]
    assert step["helped"] == {str(world.mara.pk): 20 * 60}


def test_a_manager_has_another_step_done_first_and_says_why(world, as_):
    board = world.released()
    address = reverse("ticket", args=[code_of(board)])
    assert "Another step first" not in as_(world.inka).get(address).content.decode()
    mara = as_(world.mara)
    assert "Another step first" in mara.get(address).content.decode()
    why = {"why-out_of_order": "the shaper is away, the boxes are here"}
    assert tap(mara, board, "taken", ahead="1", **why).status_code == 303
    assert Position.objects.get(board=board).stage.name == "Fin boxes"


def test_an_entry_can_be_undone_for_a_minute_and_the_next_board_is_offered(world, as_):
    board, soon = world.released(), world.released()
    with time_machine.travel(MONDAY, tick=False) as clock:
        inka = as_(world.inka)
        tap(inka, board, "taken")
        ref = str(uuid.uuid4())
        shown = inka.get(tap(inka, board, "finished", ref=ref).url).content.decode()
        assert f"Next: {soon.number}, promised Fri 10 Apr" in shown
        assert f'name="undo" value="{ref}"' in shown
        clock.shift(timedelta(seconds=50))
        assert tap(inka, board, "undone", undo=ref).status_code == 303
        assert Position.objects.get(board=board).holder == world.inka
        late = str(uuid.uuid4())
        tap(inka, board, "finished", ref=late)
        clock.shift(timedelta(seconds=61))
        again = inka.get(f"{reverse('ticket', args=[code_of(board)])}?logged={late}")
        assert 'name="undo"' not in again.content.decode()


def test_the_worker_is_served_for_the_whole_site_and_asked_for_anew(client):
    answer = client.get("/sw.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"
    assert answer["Service-Worker-Allowed"] == "/"
    told = json.loads(re.search(r"= (\{.*\});", answer.content.decode())[1])
    assert {"/static/js/scan/bay.js", "/static/css/scan.css"} <= set(told["shell"])
    assert any(one.endswith(".wasm") for one in told["large"])
    for address in told["shell"]:
        assert client.get(address).status_code == 200
