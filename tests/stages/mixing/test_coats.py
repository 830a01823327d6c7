"""How far a board is with its coats: on the card, the board's page, the wall, for who goes on."""

import re
import uuid
from datetime import timedelta

import pytest
from django.urls import reverse

from stages.log.fold import Kind
from stages.log.fold import Position as Folded
from stages.log.models import Position
from stages.log.verify import verify
from stages.mixing.coats import due_at, open_at, progress_at
from stages.routes.models import Bay
from tests.stages.mixing.conftest import AT

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock", "polyester")]
BOTTOM, DECK = "Lamination, bottom", "Lamination, deck"
FILLERS = ("Filler coat, bottom", "Filler coat, deck")


@pytest.fixture
def poured(world):
    def log(board, *coats, by=None, at=AT):
        for coat in coats:
            payload = {"pot": str(uuid.uuid4()), "coat": coat}
            entry = world.log(board, Kind.MIXED, by or world.bo, at, payload=payload)
        return entry

    return log


def folded(board) -> Folded:
    return Folded.from_json(Position.objects.get(board=board).folded)


def page(client, board, **query):
    return client.get(reverse("ticket", args=[board.tickets.get().code]), query)


def states(html) -> dict[str, str]:
    found = re.findall(
        r'name="coat" value="([^"]+)".*?data-coat-state>(.*?)</small>', html, re.DOTALL
    )
    return {coat: state.strip() for coat, state in found}


def test_pots_are_counted_by_coat_and_taken_back_with_their_entry(world, to_glass, poured):
    board = to_glass(in_hand=True)
    assert open_at(folded(board)) == due_at(folded(board)) == (BOTTOM, DECK, *FILLERS)
    last = poured(board, BOTTOM, BOTTOM, DECK)
    assert folded(board).step.coats == {BOTTOM: 2, DECK: 1}
    assert progress_at(folded(board)) == (2, 4, FILLERS[0])
    world.log(board, Kind.UNDONE, world.bo, AT, payload={"ref": str(last.ref)})
    assert progress_at(folded(board)) == (1, 4, DECK)
    assert not [one for one in verify() if one.differences]


def test_the_card_tells_each_coat_and_offers_the_next_one(world, as_, to_glass, poured):
    board = to_glass(in_hand=True)
    poured(board, BOTTOM)
    html = page(as_(world.bo), board).content.decode()
    told = states(html)
    assert list(told) == [BOTTOM, DECK, "Laps", *FILLERS]
    assert told[BOTTOM].startswith("poured ") and told[BOTTOM].endswith(", Bo")
    assert told[DECK] == told[FILLERS[0]] == "open" and told["Laps"] == ""
    assert re.search(rf'value="{DECK}" checked', html)
    poured(board, DECK)
    assert states(page(as_(world.bo), board).content.decode())["Laps"] == "with the sides"


def test_the_next_glasser_reads_how_far_the_board_is(world, as_, to_glass, poured):
    board = to_glass(in_hand=True)
    poured(board, BOTTOM, DECK)
    world.log(board, Kind.PAUSED, world.bo, AT)
    nia = world.person("nia", "Nia", "crew", "Glassing")
    told = states(page(as_(nia), board).content.decode())
    assert told[DECK].endswith(", Bo") and told[FILLERS[0]] == "open"
    world.log(board, Kind.TAKEN, nia, AT)
    html = page(as_(world.bo), board).content.decode()  # who cannot work on it reads it too
    assert "data-mix " not in html
    coats = html[html.index("step-coats") :]
    assert coats[: coats.index("</ul>")].count("is-poured") == 2
    kept = page(as_(nia), board, keep=1).content.decode()
    assert states(kept)[DECK].startswith("poured") and ", Bo" not in kept


def test_while_coats_are_open_the_mix_is_the_main_button_and_finishing_asks_once(
    world, as_, to_glass, poured
):
    board = to_glass(in_hand=True)
    poured(board, BOTTOM, DECK)
    answer = page(as_(world.bo), board)
    offer, html = answer.context["sheet"].offer, answer.content.decode()
    assert offer.coats_open == FILLERS
    assert 'data-thumb class="thumb"' in html and '<form class="thumb"' not in html
    asked = html[html.index('class="unfinished"') :]
    assert "filler coat, bottom, filler coat, deck" in asked[: asked.index("</details>")]
    poured(board, *FILLERS)
    answer = page(as_(world.bo), board)
    html = answer.content.decode()
    assert answer.context["sheet"].offer.coats_open == ()
    assert '<form class="thumb"' in html and 'class="unfinished"' not in html


def test_a_stage_whose_resin_nobody_reckons_is_finished_as_before(world, as_, to_glass):
    board = world.released()
    world.worked(board, until="Fin boxes")
    world.log(board, Kind.TAKEN, world.bo, AT)
    answer = page(as_(world.bo), board)
    assert answer.context["sheet"].offer.coats_open == ()
    assert '<form class="thumb"' in answer.content.decode()


def test_a_board_that_comes_back_gets_a_repair_and_no_lamination(world, as_, to_glass, poured):
    board = to_glass(in_hand=True)
    poured(board, BOTTOM, DECK, *FILLERS)
    world.log(board, Kind.FINISHED, world.bo, AT)
    back = {"to": folded(board).index - 1, "defect": "pinholes"}
    later = AT + timedelta(days=2)
    world.log(board, Kind.SENT_BACK, world.sela, later, payload=back)
    world.log(board, Kind.TAKEN, world.bo, later)
    answer = page(as_(world.bo), board)
    card = answer.content.decode()
    card = card[card.index("data-mix ") :]
    assert due_at(folded(board)) == () == answer.context["sheet"].offer.coats_open
    assert list(states(card)) == ["Repair"] and "Cloth to cut" not in card
    again = card[card.index('class="whole"') :]
    assert BOTTOM in again[: again.index("</details>")]


def test_sent_back_before_it_was_glassed_it_is_glassed_whole(world, to_glass):
    board = to_glass(in_hand=True)
    back = {"to": 0, "defect": "bumped blank"}
    world.log(board, Kind.SENT_BACK, world.bo, AT, payload=back)
    world.worked(board, until="Glassing", start=AT)
    assert len(due_at(folded(board))) == 4


def test_the_boards_page_and_the_wall_tell_the_coats(world, as_, to_glass, poured):
    board = to_glass(in_hand=True)
    poured(board, BOTTOM)
    html = as_(world.mara).get(reverse("board", args=[board.number])).content.decode()
    coats = html[html.index("step-coats") :]
    coats = " ".join(re.sub(r"<[^>]+>", " ", coats[: coats.index("</ul>")]).split())
    assert f"{BOTTOM}: poured {DECK}: open" in coats
    bay = Bay.objects.get(name="Glassing")
    wall = as_(world.mara).get(reverse("wall", args=[bay.pk])).content.decode()
    assert "1/4, lamination deck next" in wall
