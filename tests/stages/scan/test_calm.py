"""After a step is done the page is calm; a board that stopped says who, when and how far."""

import re
import uuid
from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse

from stages.log.fold import Kind
from stages.log.models import Entry, Position
from stages.scan.offer import REASONS
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
NOW = MONDAY + timedelta(days=3)


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


def code_of(board):
    return board.tickets.get(voided_at=None).code


def page(client, board, **query):
    return client.get(reverse("ticket", args=[code_of(board)]), query)


def tap(client, board, kind, **fields):
    step = str(Position.objects.get(board=board).folded["index"])
    data = {"ticket": code_of(board), "ref": str(uuid.uuid4()), "kind": kind, "step": step}
    return client.post(reverse("log"), {**data, **fields})


def state_of(answer) -> str:
    html = answer.content.decode()
    state = html[html.index('data-slot="state"') : html.index('data-slot="card"')]
    return " ".join(re.sub(r"<[^>]+>", " ", state).split())


@pytest.fixture
def at_sanding(world):
    board = world.released(box_kind="two_plug")
    world.worked(board, until="Sanding")
    return board


def test_after_finishing_nothing_red_is_said_about_the_next_hands(world, as_):
    board, pia = world.released(), world.person("pia", "Pia", "crew", "Shaping")
    world.log(board, Kind.TAKEN, pia, NOW - timedelta(hours=1))
    world.log(board, Kind.FINISHED, pia, NOW)
    phone = as_(pia)
    ref = str(Entry.objects.get(board=board, kind=Kind.FINISHED).ref)
    answer = page(phone, board, logged=ref)
    html = answer.content.decode()
    assert "Next for this board: Fin boxes" in state_of(answer)
    assert 'class="state stop"' not in html and 'class="override"' not in html
    assert 'class="thumb"' not in html and "What is next for me" in html
    # Opened anew it is a board that waits for somebody else, and says so.
    assert 'class="state stop"' in page(phone, board).content.decode()


def test_after_a_board_the_next_is_the_one_in_hand_then_the_bays_then_the_list(
    world, as_, at_sanding
):
    other, sela = world.released(box_kind="two_plug"), as_(world.sela)
    world.worked(other, until="Sanding")
    for board in (at_sanding, other):
        world.log(board, Kind.TAKEN, world.sela, NOW)
    ref = tap(sela, at_sanding, "paused").url.split("=")[1]
    shown = page(sela, at_sanding, logged=ref).content.decode()
    assert f"Next: {other.number}, in your hands" in shown
    world.log(other, Kind.PAUSED, world.sela, NOW)
    assert f"Next: {other.number}, promised" in page(sela, at_sanding, logged=ref).content.decode()
    world.log(other, Kind.HELD, world.sela, NOW, payload={"reason": "waiting for material"})
    assert "What is next for me" in page(sela, at_sanding, logged=ref).content.decode()


def test_a_helper_sees_who_leads_once_and_nothing_red(world, as_, at_sanding):
    world.log(at_sanding, Kind.TAKEN, world.sela, NOW)
    bo = as_(world.bo)
    assert state_of(page(bo, at_sanding)).count("Sela has this board in hand") == 1
    ref = tap(bo, at_sanding, "joined").url.split("=")[1]
    answer = page(bo, at_sanding, logged=ref)
    assert "You help Sela" in state_of(answer) and state_of(answer).count("Sela") == 1
    assert 'class="state stop"' not in answer.content.decode()
    ref = tap(bo, at_sanding, "left").url.split("=")[1]
    assert 'class="state stop"' not in page(bo, at_sanding, logged=ref).content.decode()
    assert 'class="state stop"' in page(bo, at_sanding).content.decode()


def test_a_board_just_sent_back_is_not_received_as_good(world, as_, at_sanding):
    to = Position.objects.get(board=at_sanding).folded["index"] - 1
    payload = {"to": to, "defect": "pinholes"}
    world.log(at_sanding, Kind.SENT_BACK, world.sela, NOW, payload=payload)
    offer = page(as_(world.mara), at_sanding).context["sheet"].offer
    assert (offer.label, offer.receives) == ("Take in hand", False)


def test_a_board_handed_on_is_received_as_good(world, as_, at_sanding):
    offer = page(as_(world.sela), at_sanding).context["sheet"].offer
    assert (offer.label, offer.receives) == ("Take in hand, it is good", True)


def test_a_board_that_was_put_down_says_who_when_and_how_far(world, as_, at_sanding):
    world.log(at_sanding, Kind.TAKEN, world.sela, NOW - timedelta(minutes=50))
    world.log(at_sanding, Kind.PAUSED, world.sela, NOW - timedelta(minutes=20))
    said = state_of(page(as_(world.mara), at_sanding))
    assert "Put down by Sela, Thu 5 Mar, 08:40, not finished. 30 min in hand so far." in said


def test_a_held_board_says_who_and_damage_is_let_go_with_a_word(world, as_, at_sanding):
    world.log(at_sanding, Kind.HELD, world.sela, NOW, payload={"reason": "damaged: nose"})
    mara = as_(world.mara)
    answer = page(mara, at_sanding)
    assert "Held: damaged: nose. Sela, Thu 5 Mar, 09:00." in state_of(answer)
    assert answer.context["sheet"].offer.word and 'name="word"' in answer.content.decode()
    assert tap(mara, at_sanding, "let_go").status_code == 409
    desk = mara.post(
        reverse("board-let-go", args=[at_sanding.number]), {"ref": str(uuid.uuid4())}
    )
    assert desk.status_code == 422
    assert tap(mara, at_sanding, "let_go", word="mended").status_code == 303
    assert Entry.objects.get(board=at_sanding, kind=Kind.LET_GO).payload["word"] == "mended"
    history = mara.get(reverse("board", args=[at_sanding.number])).content.decode()
    assert "held: mended." in history


def test_another_hold_is_let_go_as_before(world, as_, at_sanding):
    world.log(at_sanding, Kind.HELD, world.sela, NOW, payload={"reason": "waiting for material"})
    answer = page(as_(world.mara), at_sanding)
    assert not answer.context["sheet"].offer.word
    assert tap(as_(world.mara), at_sanding, "let_go").status_code == 303


def test_reasons_are_tapped_or_typed(world, as_):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, NOW)
    mara = as_(world.mara)
    html = page(mara, board).content.decode()
    for reason in REASONS["not_yours"]:
        assert f'name="why-not_yours" value="{reason}"' in html
    fields = {"why-not_yours": "they have gone home", "more-not_yours": "since noon"}
    assert tap(mara, board, "paused", **fields).status_code == 303
    passed = Entry.objects.get(board=board, kind=Kind.PAUSED).payload["overrides"]
    assert passed == {"not_yours": "they have gone home: since noon"}


def test_words_alone_are_a_reason_and_nothing_is_none(world, as_):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, NOW)
    mara = as_(world.mara)
    assert tap(mara, board, "paused", **{"more-not_yours": " "}).status_code == 409
    assert tap(mara, board, "paused", **{"more-not_yours": "Inka is ill"}).status_code == 303


def test_the_board_in_the_way_is_a_link_to_put_it_down(world, as_):
    shaping = world.stages["Shaping"]
    shaping.one_at_a_time = True
    shaping.save()
    first, second = world.released(), world.released()
    world.log(first, Kind.TAKEN, world.inka, NOW)
    html = page(as_(world.inka), second).content.decode()
    assert f'href="/T/{code_of(first)}">Put {first.number} down</a>' in html
