"""The glassing card, the mix in the log, and a bad drum found again."""

import json
import re
import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.glassing.hardener import Polyester
from orders.resins.models import GlassShop, ResinSystem
from orders.resins.reckoning import sheet_of
from stages.log.fold import Kind
from stages.log.models import Entry, Position
from stages.mixing.coats import coats_at
from stages.mixing.queries import mixes_of, of_batch
from stages.mixing.taps import mixed
from tests.stages.mixing.conftest import AT

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
BACKEND = "orders.accounts.backends.PasswordBackend"
POT = str(uuid.uuid4())
TYPED = {
    "kind": "mixed", "pot": POT, "coat": "Lamination, bottom", "resin": "Drum polyester",
    "resin_batch": "P-118", "hardener_batch": "C-7", "resin_g": "240", "hardener_g": "5,4",
    "percent": "2", "temperature_c": "18.5", "hardener_in": "2026-03-04T08:00:00+00:00",
    "working_s": "760", "boards": "2", "share_g": "122",
}  # fmt: skip


def page(client, board, **query):
    code = board.tickets.get(voided_at=None).code
    return client.get(reverse("ticket", args=[code]), query).content.decode()


def bench(html):
    card = html[html.index("data-mix ") :]
    told = re.search(r'<script type="application/json">(.*?)</script>', card, re.DOTALL)
    return json.loads(told[1])


def mix(client, board, **more):
    data = {
        **TYPED,
        "ticket": board.tickets.get(voided_at=None).code,
        "ref": str(uuid.uuid4()),
        "step": str(Position.objects.get(board=board).folded["index"]),
        **more,
    }
    return client.post(reverse("log"), data)


@pytest.mark.parametrize(
    ("stage", "coats"),
    [
        ("Glassing", ("Lamination", "Filler coat")),
        ("Lamination", ("Lamination", "Filler coat")),
        ("Hot coat", ("Filler coat",)),
        ("Gloss and polish", ("Gloss",)),
        ("Polish", ()),
        ("Fin boxes", ("Fin boxes",)),
        ("Boxes in resin", ("Fin boxes",)),
        ("Plug", ("Plug",)),
        ("Plug and QC", ()),
        ("Sanding", ()),
        ("Shaping", ()),
    ],
)
def test_a_stage_mixes_the_coats_its_name_says(stage, coats):
    assert coats_at(stage) == coats


def test_a_filler_coat_with_a_step_of_its_own_is_not_mixed_at_glassing():
    assert coats_at("Glassing", ["Shaping", "Glassing", "Hot coat"]) == ("Lamination",)


def test_the_card_says_what_to_cut_and_to_mix_bottom_first(world, as_, to_glass, polyester):
    board = to_glass()
    html = page(as_(world.bo), board)
    card = html[html.index("data-mix ") :]
    assert card.index("Bottom 1") < card.index("Deck 1")
    assert card.index("Lamination, bottom") < card.index("Lamination, deck")
    assert card.index("Lamination, deck") < card.index("Filler coat, bottom")
    assert "Drum polyester" in card


def test_who_may_not_work_on_the_board_is_shown_no_mix(world, as_, to_glass, polyester):
    board = to_glass(in_hand=True)
    assert "data-mix " in page(as_(world.bo), board)
    assert "data-mix " not in page(as_(world.inka), board)
    since = Position.objects.get(board=board).since
    world.log(board, Kind.HELD, world.bo, since, payload={"reason": "damaged"})
    assert "data-mix " not in page(as_(world.bo), board)


def test_other_bays_have_no_such_card(world, as_):
    assert "data-mix " not in page(as_(world.inka), world.released())


def test_the_gloss_bay_mixes_the_gloss(world, as_):
    board = world.released(finish="gloss")
    world.worked(board, until="Gloss and polish")
    html = page(as_(world.bo), board)
    assert "Gloss, bottom" in html and "Lamination, bottom" not in html
    assert bench(html)["coats"]["Gloss, bottom"] > 50


def test_the_device_gets_the_servers_own_figures_for_every_half_degree(
    world, as_, to_glass, polyester
):
    board = to_glass()
    told = bench(page(as_(world.bo), board))
    shop = GlassShop.current()
    for celsius in (17, 18.5, 24):
        sheet = sheet_of(board.spec, shop=shop, system=polyester, tests=[], celsius=celsius)
        row = told["rows"][f"{celsius:g}"]
        coat = next(m for m in sheet.mixes if (m.coat.name, m.coat.side) == ("Lamination", "deck"))
        total = told["coats"]["Lamination, deck"]
        assert total == pytest.approx(coat.coat.amount.usual_g)
        assert total / coat.pots * row["resin"] == pytest.approx(coat.each.resin_g)
        assert coat.each.resin_g * row["hardener"] == pytest.approx(coat.each.hardener_g)
        assert row["percent"] == Polyester().percent_at(celsius)
    assert min(map(float, told["rows"])) == told["limits"]["coldest_c"] == 15
    assert max(map(float, told["rows"])) < told["limits"]["hottest_c"] == 35


def test_the_working_time_is_told_only_where_the_cup_tests_reach(world, as_, to_glass, polyester):
    rows = bench(page(as_(world.bo), to_glass()))["rows"]
    low, about, high = rows["19"]["minutes"]
    assert low < about < high
    assert about == pytest.approx(15)  # the cup itself
    assert "minutes" not in rows["30"]


def test_an_epoxy_without_a_pot_life_says_so(world, as_, to_glass):
    board = to_glass(resin="epoxy", foam="eps")
    html = page(as_(world.bo), board)
    assert "pot life is not entered" in html
    assert all("minutes" not in row for row in bench(html)["rows"].values())


def test_an_epoxy_is_dosed_by_its_one_ratio_and_timed_by_its_pot_life(world, as_, to_glass):
    system = ResinSystem.usual("epoxy")
    system.pot_minutes, system.pot_at_c, system.name = 24, 25, "Drum epoxy"
    system.full_clean(exclude=["changed_by"])
    system.save()
    rows = bench(page(as_(world.bo), to_glass(resin="epoxy", foam="eps")))["rows"]
    assert rows["20"]["hardener"] == pytest.approx(rows["30"]["hardener"])
    assert rows["25"]["minutes"][1] == pytest.approx(24)
    assert "15.5" not in rows and "35" not in rows
    assert rows["34"]["minutes"][1] == pytest.approx(24 / 2**0.9)  # half as long 10 C warmer


def test_boards_that_wait_or_are_in_the_same_hands_may_share_the_pot(
    world, as_, to_glass, polyester
):
    mine, other, waits = to_glass(in_hand=True), to_glass(in_hand=True), to_glass()
    epoxy = to_glass(resin="epoxy", foam="eps")
    html = page(as_(world.bo), mine)
    sharing = html[html.index("data-sharing") :]
    sharing = sharing[: sharing.index("</fieldset>")]
    assert f"<span>{other.number}</span>" in sharing
    assert f"{waits.number}, take in hand too" in sharing
    assert str(epoxy.number) not in sharing
    assert bench(html)["others"][waits.tickets.get().code]["Lamination, deck"] > 100


def test_the_copy_for_no_signal_has_the_card_and_its_table(world, as_, to_glass, polyester):
    board = to_glass()
    html = page(as_(world.bo), board, keep="1")
    kept = html[html.index('data-part="mixing"') :]
    assert "Lamination, deck" in kept and '"rows"' in kept
    assert "Bo" not in re.sub(r"Bottom|Board|Boxes", "", kept)


def test_more_boards_at_the_bay_ask_no_more_questions(world, as_, to_glass, polyester):
    board, bo = to_glass(in_hand=True), as_(world.bo)
    to_glass()
    page(bo, board)
    with CaptureQueriesContext(connection) as few:
        page(bo, board)
    for _ in range(3):
        to_glass()
    with CaptureQueriesContext(connection) as many:
        page(bo, board)
    assert len(many) == len(few)


def test_a_plain_form_logs_the_mix_with_the_step(world, as_, to_glass):
    board = to_glass(in_hand=True)
    assert mix(as_(world.bo), board).status_code == 303
    entry = Entry.objects.get(board=board, kind=Kind.MIXED)
    told = {name: entry.payload[name] for name in TYPED if name != "kind"}
    assert told == {
        **{name: TYPED[name] for name in ("pot", "coat", "resin", "resin_batch")},
        **{name: TYPED[name] for name in ("hardener_batch", "hardener_in")},
        **{"resin_g": 240, "hardener_g": 5.4, "percent": 2, "temperature_c": 18.5},
        **{"working_s": 760, "boards": 2, "share_g": 122},
    }
    assert entry.stage.name == "Glassing" and entry.by == world.bo


def test_nothing_is_mixed_for_a_board_in_nobodys_hands(world, as_, to_glass):
    board = to_glass()
    assert mix(as_(world.bo), board).status_code == 409
    assert not Entry.objects.filter(kind=Kind.MIXED).exists()


@pytest.mark.parametrize("nonsense", ["nan", "inf", "-5", "1e9", "a lot", ""])
def test_what_cannot_be_read_of_a_mix_is_left_out(nonsense):
    payload = mixed({"pot": "x", "resin_g": nonsense, "hardener_in": "then", "coat": " "})
    assert set(payload) == {"pot"}
    assert uuid.UUID(payload["pot"])


def test_a_board_knows_its_resin_and_who_shared_the_pot(world, as_, to_glass):
    one, other = to_glass(in_hand=True), to_glass(in_hand=True)
    bo = as_(world.bo)
    for board in (one, other):
        mix(bo, board)
    mix(bo, one, pot=str(uuid.uuid4()), coat="Lamination, deck")
    bottom, deck = mixes_of(one)
    assert (bottom.shared, deck.shared) == ((other.number,), ())
    html = as_(world.cleo).get(reverse("board", args=[one.number])).content.decode()
    resin = html[html.index('id="resin"') :]
    assert "P-118" in resin and "C-7" in resin and "18.5 °C" in resin and "122 g" in resin
    assert f'href="/boards/{other.number}/"' in resin


def test_a_mix_taken_back_is_not_in_the_board(world, as_, to_glass):
    one, other = to_glass(in_hand=True), to_glass(in_hand=True)
    bo = as_(world.bo)
    for board in (one, other):
        mix(bo, board)
    ref = Entry.objects.get(board=other, kind=Kind.MIXED).ref
    undo = {"kind": "undone", "undo": str(ref), "ref": str(uuid.uuid4())}
    bo.post(reverse("log"), {"ticket": other.tickets.get().code, **undo})
    assert Entry.objects.filter(board=other, kind=Kind.UNDONE).exists()
    assert mixes_of(other) == []
    assert mixes_of(one)[0].shared == ()
    assert [found.board for found in of_batch("P-118")] == [one]


def test_a_bad_drum_leads_to_every_board_that_got_of_it(world, as_, to_glass):
    boards = [to_glass(in_hand=True) for _ in range(3)]
    bo = as_(world.bo)
    mix(bo, boards[0])
    mix(bo, boards[1], resin_batch="P-119", hardener_batch="p-118", pot=str(uuid.uuid4()))
    mix(bo, boards[2], resin_batch="P-119", pot=str(uuid.uuid4()))
    html = as_(world.mara).get(reverse("resin-batch"), {"number": " p-118 "}).content.decode()
    found = html[html.index("<h2>2 mixes") : html.index("Mixed lately")]
    assert str(boards[0].number) in found and str(boards[1].number) in found
    assert str(boards[2].number) not in found
    assert "No mix was logged" in as_(world.mara).get(
        reverse("resin-batch"), {"number": "Z"}
    ).content.decode()
    assert as_(world.bo).get(reverse("resin-batch")).status_code == 403


def test_more_mixes_ask_no_more_questions(world, as_, to_glass):
    boards, bo = [to_glass(in_hand=True) for _ in range(2)], as_(world.bo)
    mix(bo, boards[0])
    with CaptureQueriesContext(connection) as few:
        assert mixes_of(boards[0]) and of_batch("P-118")
    for _ in range(3):
        mix(bo, boards[0])
        mix(bo, boards[1])
    with CaptureQueriesContext(connection) as many:
        assert mixes_of(boards[0]) and of_batch("P-118")
    assert len(many) == len(few)


def test_the_time_of_a_mix_is_the_devices(world, as_, to_glass):
    board = to_glass(in_hand=True)
    mix(as_(world.bo), board, happened_at=(AT - timedelta(minutes=2)).isoformat())
    assert mixes_of(board)[0].at == AT - timedelta(minutes=2)
