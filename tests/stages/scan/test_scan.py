"""What happens between a ticket and a pair of gloves."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stages.floor.actions import change_released_board
from stages.log.fold import Kind
from stages.log.models import Entry, Position
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
BACKEND = "orders.accounts.backends.PasswordBackend"


@pytest.fixture
def monday():
    """It is 8:00 UTC, 9:00 by the factory's clock, on the Monday the boards are released."""
    with time_machine.travel(MONDAY, tick=False) as traveller:
        yield traveller


def code_of(board) -> str:
    return board.tickets.get(voided_at=None).code


def tap(client, board, kind, *, code=None, **more):
    data = {
        "ticket": code or code_of(board),
        "ref": str(uuid.uuid4()),
        "kind": kind,
        "step": str(Position.objects.get(board=board).folded["index"]),
        **more,
    }
    return client.post(reverse("log"), data)


def page(client, board, code=None):
    return client.get(reverse("ticket", args=[code or code_of(board)])).content.decode()


def test_one_tap_takes_a_board_in_hand_and_one_finishes_it(world, as_, monday):
    board, inka = world.released(), as_(world.inka)
    before = page(inka, board)
    assert 'value="taken"' in before
    assert "Take in hand" in before
    answer = tap(inka, board, "taken")
    assert answer.status_code == 303
    after = inka.get(answer.url).content.decode()
    assert "Logged 09:00: in hand" in after
    assert "In your hands since 09:00" in after
    monday.shift(timedelta(hours=2))
    answer = tap(inka, board, "finished")
    assert "Logged 11:00: finished" in inka.get(answer.url).content.decode()
    assert Position.objects.get(board=board).stage.name == "Fin boxes"


def test_the_same_tap_sent_twice_is_one_entry_and_shows_the_same(world, as_, monday):
    board, inka, ref = world.released(), as_(world.inka), str(uuid.uuid4())
    first = tap(inka, board, "taken", ref=ref)
    monday.shift(timedelta(minutes=1))
    second = tap(inka, board, "taken", ref=ref)
    assert second.url == first.url
    assert "Logged 09:00: in hand" in inka.get(second.url).content.decode()
    assert Entry.objects.filter(board=board, kind=Kind.TAKEN).count() == 1


def test_the_second_to_tap_is_told_who_has_the_board(world, as_):
    board = world.released()
    tap(as_(world.inka), board, "taken")
    mara = as_(world.mara)
    answer = tap(mara, board, "taken")
    assert answer.status_code == 409
    assert "Inka has this board in hand" in answer.content.decode()
    assert Position.objects.get(board=board).holder == world.inka


def test_a_page_opened_before_the_board_moved_on_is_refused(world, as_):
    board = world.released()
    at = world.worked(board, until="Glassing")
    with time_machine.travel(at + timedelta(hours=3)):
        answer = tap(as_(world.bo), board, "taken", step="1")
    assert answer.status_code == 409
    assert "moved on: it is at Glassing now" in answer.content.decode()


def test_an_old_ticket_says_so_before_anyone_works_from_it(world, as_, monday):
    board = world.released()
    old = code_of(board)
    monday.shift(timedelta(hours=1))
    change_released_board(
        board=board,
        spec=world.spec(bottom_cloth="6 oz"),
        reason="heavier rider",
        by=world.cleo,
        at=MONDAY + timedelta(hours=1),
    )
    inka = as_(world.inka)
    text = page(inka, board, old)
    assert "Do not work from this paper" in text
    assert "bottom cloth is now <strong>6 oz</strong>, was 4 oz" in text
    assert 'value="taken"' not in text
    assert reverse("ticket", args=[code_of(board)]) in text
    answer = tap(inka, board, "taken", code=old)
    assert answer.status_code == 409
    assert "This ticket is old" in answer.content.decode()
    forced = tap(inka, board, "taken", code=old, **{"why-old_ticket": "no printer"})
    assert forced.status_code == 409
    assert "Ask the manager" in forced.content.decode()
    assert Entry.objects.filter(board=board, kind=Kind.TAKEN).count() == 0
    live = page(inka, board)
    assert "Changed since the last ticket" in live
    assert 'value="taken"' in live


def test_a_manager_may_work_from_an_old_ticket_and_the_reason_is_kept(world, as_, monday):
    board = world.released()
    old = code_of(board)
    change_released_board(
        board=board,
        spec=world.spec(art="Gannet on the deck"),
        reason="art",
        by=world.cleo,
        at=MONDAY,
    )
    mara = as_(world.mara)
    assert "why-old_ticket" in page(mara, board, old)
    answer = tap(mara, board, "taken", code=old, **{"why-old_ticket": "only the art changed"})
    assert answer.status_code == 303
    entry = Entry.objects.get(board=board, kind=Kind.TAKEN)
    assert entry.payload["overrides"] == {"old_ticket": "only the art changed"}
    assert entry.ticket_revision == 1


def test_two_stops_are_passed_one_after_the_other_and_both_reasons_kept(world, as_):
    board = world.released()
    at = world.worked(board, until="Sanding")
    old = code_of(board)
    change_released_board(
        board=board, spec=world.spec(art="Gannet"), reason="art", by=world.cleo, at=at
    )
    mara = as_(world.mara)
    with time_machine.travel(at + timedelta(hours=1), tick=False):
        answer = tap(mara, board, "taken", code=old, **{"why-old_ticket": "only the art"})
        assert answer.status_code == 409
        text = answer.content.decode()
        assert "why-resting" in text
        assert '<input type="hidden" name="why-old_ticket" value="only the art">' in text
        answer = tap(
            mara,
            board,
            "taken",
            code=old,
            **{"why-old_ticket": "only the art", "why-resting": "hard already"},
        )
    assert answer.status_code == 303
    kept = Entry.objects.get(board=board, kind=Kind.TAKEN, stage__name="Sanding").payload
    assert set(kept["overrides"]) == {"old_ticket", "resting"}


def test_a_reprint_with_the_same_numbers_may_be_worked_from(world, as_, monday):
    from orders.tickets.actions import issue_ticket

    board = world.released()
    old = code_of(board)
    issue_ticket(board=board, by=world.cleo, at=MONDAY)
    text = page(as_(world.inka), board, old)
    assert "the numbers on this paper still hold" in text
    assert 'value="taken"' in text


def test_a_resting_board_says_until_when_and_how_long(world, as_):
    board = world.released()
    at = world.worked(board, until="Sanding")
    sela = as_(world.sela)
    with time_machine.travel(at + timedelta(hours=1), tick=False):
        text = page(sela, board)
        assert "Resting until" in text
        assert "rests for another 15 h after Glassing (16 h set)" in text
        assert tap(sela, board, "taken").status_code == 409
        empty = tap(sela, board, "taken", **{"why-resting": " "})
        assert empty.status_code == 409
        assert "Say why" in empty.content.decode()
        kept = tap(sela, board, "taken", **{"why-resting": "hard, tested with a nail"})
        assert kept.status_code == 303
    entry = Entry.objects.filter(board=board).latest("seq")
    assert entry.payload["overrides"] == {"resting": "hard, tested with a nail"}


def test_when_the_rest_is_over_the_board_is_simply_taken(world, as_):
    board = world.released()
    at = world.worked(board, until="Sanding")
    with time_machine.travel(at + timedelta(hours=16), tick=False):
        sela = as_(world.sela)
        assert 'value="taken"' in page(sela, board)
        assert tap(sela, board, "taken").status_code == 303


def test_qc_passes_a_board_or_sends_it_back_to_a_named_step(world, as_):
    board = world.released()
    at = world.worked(board, until="QC")
    quin = as_(world.quin)
    with time_machine.travel(at + timedelta(days=1), tick=False):
        tap(quin, board, "taken")
        text = page(quin, board)
        assert 'value="passed"' in text
        assert 'value="finished"' not in text
        nothing = tap(quin, board, "sent_back", to="3", defect="", note="left rail")
        assert nothing.status_code == 409
        text = nothing.content.decode()
        assert "Say what is wrong" in text
        assert "left rail</textarea>" in text
        answer = tap(quin, board, "sent_back", to="3", defect="sand-through", note="left rail")
        assert answer.status_code == 303
        text = page(as_(world.sela), board)
    assert "Done again, try 2: sand-through." in text
    assert "left rail" in text


def test_a_held_board_says_why_and_is_let_go(world, as_, monday):
    board, inka = world.released(), as_(world.inka)
    assert tap(inka, board, "held").status_code == 409
    assert tap(inka, board, "held", reason="damaged", note="nose ding").status_code == 303
    text = page(inka, board)
    assert "Held: damaged: nose ding." in text
    assert 'value="let_go"' in text
    assert tap(inka, board, "let_go", word="mended").status_code == 303
    assert Position.objects.get(board=board).state == "waiting"


def test_a_manager_puts_a_board_down_for_someone_who_went_home(world, as_, monday):
    board = world.released()
    tap(as_(world.inka), board, "taken")
    mara = as_(world.mara)
    assert "Put down for Inka" in page(mara, board)
    assert 'value="paused"' not in page(as_(world.bo), board)
    answer = tap(mara, board, "paused", **{"why-not_yours": "Inka is ill"})
    assert answer.status_code == 303
    assert Position.objects.get(board=board).holder is None


def test_someone_without_the_skill_sees_the_board_but_no_button(world, as_, monday):
    board, sela = world.released(), as_(world.sela)
    text = page(sela, board)
    assert "You are not down for Shaping" in text
    assert 'value="taken"' not in text
    assert tap(sela, board, "taken").status_code == 409


def test_a_ready_board_belongs_on_the_rack(world, as_):
    board = world.released()
    at = world.worked(board, until="rack")
    with time_machine.travel(at + timedelta(days=1), tick=False):
        text = page(as_(world.quin), board)
    assert "On the rack" in text
    assert reverse("board", args=[board.number]) in text
    assert 'value="taken"' not in text


def test_a_bay_reads_only_its_own_numbers(world, as_, monday):
    board = world.released(art="Gannet on the deck", bay_notes="Rider is left-footed")
    shaping = page(as_(world.inka), board)
    assert "Thickness" in shaping
    assert "4 + 4 oz" not in shaping
    assert "Gannet on the deck" in shaping
    assert "Rider is left-footed" in shaping
    world.worked(board, until="Glassing")
    glassing = page(as_(world.bo), board)
    assert "4 + 4 oz" in glassing
    assert '<th scope="row">Thickness' not in glassing


@pytest.mark.parametrize(
    "clock",
    [
        "",
        "yesterday",
        "0001-01-01T00:00:00+00:00",
        "2026-03-02T08:00:00",
        "2031-01-01T00:00:00Z",
        "9" * 60,
    ],
)
def test_a_device_with_a_nonsense_clock_gets_the_servers_time(world, as_, monday, clock):
    board = world.released()
    assert tap(as_(world.inka), board, "taken", happened_at=clock).status_code == 303
    assert Entry.objects.get(board=board, kind=Kind.TAKEN).happened_at == MONDAY


def test_a_device_that_was_out_of_signal_keeps_its_own_time(world, as_):
    board = world.released()
    with time_machine.travel(MONDAY + timedelta(minutes=20), tick=False):
        tap(as_(world.inka), board, "taken", happened_at="2026-03-02T08:05:00.000Z")
    entry = Entry.objects.get(board=board, kind=Kind.TAKEN)
    assert entry.happened_at == datetime(2026, 3, 2, 8, 5, tzinfo=UTC)
    assert entry.recorded_at == MONDAY + timedelta(minutes=20)


@pytest.mark.parametrize(
    "broken", [{"ref": "x"}, {"kind": "released"}, {"kind": "handed_over"}, {"ticket": "0000000"}]
)
def test_a_tap_that_cannot_be_read_logs_nothing(world, as_, broken):
    board = world.released()
    data = {"ticket": code_of(board), "ref": str(uuid.uuid4()), "kind": "taken", **broken}
    answer = as_(world.inka).post(reverse("log"), data)
    assert answer.status_code == 422
    assert "Nothing was logged" in answer.content.decode()
    assert Entry.objects.filter(board=board).count() == 1


def test_a_code_opens_its_board_however_it_is_typed(world, as_):
    board, inka = world.released(), as_(world.inka)
    code = code_of(board)
    for typed in (code.lower(), f" {code[:3]}-{code[3:]} ", f"HTTP://BOARDS.EXAMPLE/T/{code}"):
        answer = inka.post(reverse("scan"), {"code": typed})
        assert answer.url == reverse("ticket", args=[code])
    assert inka.get(reverse("ticket-lower", args=[code.lower()])).url == f"/T/{code}"


def test_one_wrong_character_never_opens_another_board(world, as_):
    """A slip in each place; every slip there is, is tried in tests/orders/test_ticket_code.py."""
    boards = [world.released() for _ in range(3)]
    inka, code = as_(world.inka), code_of(boards[0])
    symbols = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
    for place in range(7):
        symbol = symbols[symbols.index(code[place]) - 1]
        wrong = code[:place] + symbol + code[place + 1 :]
        answer = inka.post(reverse("scan"), {"code": wrong})
        assert answer.status_code == 422
    text = answer.content.decode()
    assert "One character is wrong" in text
    assert f'value="{wrong}"' in text


def test_a_board_number_is_told_apart_from_a_code_kindly(world, as_):
    board = world.released()
    answer = as_(world.inka).post(reverse("scan"), {"code": str(board.number)})
    assert answer.status_code == 422
    assert f"{board.number} looks like a board number" in answer.content.decode()


def test_an_unknown_square_is_answered_on_the_page_to_type_the_code(world, as_):
    inka = as_(world.inka)
    assert inka.get("/T/NOSUCHCODE").status_code == 404
    assert "Read it again from the ticket" in inka.get("/T/ABC").content.decode()


def test_the_scan_page_lists_yours_in_hand_and_next_by_promised_date(world, as_, monday):
    from datetime import date

    late = world.released(promised_on=date(2026, 5, 1))
    soon = world.released(promised_on=date(2026, 3, 20))
    mine = world.released(promised_on=date(2026, 6, 1))
    inka = as_(world.inka)
    tap(inka, mine, "taken")
    answer = inka.get(reverse("scan"))
    assert [row.board for row in answer.context["in_hand"]] == [mine]
    assert [row.board for row in answer.context["coming"]] == [soon, late]
    assert [row.board for row in as_(world.bo).get(reverse("scan")).context["coming"]] == []


def test_the_counter_does_not_log_work(world, as_):
    board = world.released()
    assert tap(as_(world.cleo), board, "taken").status_code == 403


def asked(client, board, kind) -> list[str]:
    """The statements a tap costs, without the begin and end of its transaction."""
    data = {"ticket": code_of(board), "ref": str(uuid.uuid4()), "kind": kind, "step": "0"}
    with CaptureQueriesContext(
        connection,
    ) as queries:
        assert client.post(reverse("log"), data).status_code == 303
    quiet = ("SAVEPOINT", "RELEASE", "BEGIN", "COMMIT")
    return [q["sql"].split()[0] for q in queries if not q["sql"].startswith(quiet)]


def test_a_tap_costs_three_statements_and_a_finish_one_more(world, as_, monday, settings):
    settings.SESSION_ENGINE = "django.contrib.sessions.backends.cached_db"
    board, inka = world.released(), as_(world.inka)
    page(inka, board)  # the person, the session and the skills are remembered from the page
    assert asked(inka, board, "taken") == ["SELECT"] + ["INSERT", "UPDATE"]
    assert asked(inka, board, "finished") == ["SELECT"] + ["INSERT", "UPDATE", "INSERT"]
