"""verify_log finds what differs, and the database itself keeps the log from being rewritten."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, transaction

from orders.orderbook.models import Board
from orders.orderbook.promises import Reason
from orders.specs.models import SpecRevision
from stages.floor.actions import cancel_released_board, promise_again
from stages.log.fold import Kind
from stages.log.models import Entry, Position, Visit
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


def verified(*args) -> tuple[int, str]:
    out = StringIO()
    try:
        call_command("verify_log", *args, stdout=out)
    except SystemExit as ended:
        return ended.code, out.getvalue()
    return 0, out.getvalue()


@pytest.fixture
def board(world):
    board = world.released()
    at = world.worked(board, until="Sanding")
    world.log(board, Kind.TAKEN, world.sela, at + timedelta(days=1))
    return board


def test_agreeing_boards_are_counted(world, board):
    world.ordered()
    gone = world.released()
    cancel_released_board(board=gone, reason="moved away", by=world.mara, at=MONDAY)
    promise_again(
        board=board, on=MONDAY.date(), why=Reason("material"), by=world.mara, at=MONDAY
    )
    code, said = verified()
    assert code == 0
    assert said == "3 boards, 11 entries: every row is as the log has it.\n"


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda b: Position.objects.update(state="waiting"), "state of the position is waiting"),
        (lambda b: Position.objects.update(holder=None), "holder_id of the position is nothing"),
        (lambda b: Position.objects.update(seq=2), "seq of the position is 2; by the log it is 8"),
        (lambda b: Position.objects.all().delete(), "no position is kept"),
        (
            lambda b: Visit.objects.filter(stage__name="Glassing").update(touch_s=1),
            "touch_s of the visit at step 2 (Glassing) is 1; by the log it is 7200",
        ),
        (lambda b: Visit.objects.filter(step=0).delete(), "no visit is kept at step 0 (Shaping)"),
        (lambda b: Board.objects.update(released_at=None), "released_at of the board is nothing"),
        (lambda b: Board.objects.update(cancelled_at=MONDAY), "by the log it is nothing"),
        (
            lambda b: Visit.objects.create(
                board=b, step=9, stage=b.visits.first().stage, attempt=1, arrived_at=MONDAY,
                finished_at=MONDAY, rest_until=MONDAY, touch_s=0, held_s=0, outcome="done",
            ),
            "visit at step 9 is kept, and the log has none",
        ),
    ],
)
def test_a_row_that_differs_is_named_in_words(board, spoil, says):
    spoil(board)
    code, said = verified()
    assert code == 1
    assert f"Board {board.number}: " in said
    assert says in said


def test_what_is_folded_is_compared_by_its_parts(board):
    position = Position.objects.get()
    position.folded["steps"][0]["by"] = 99
    position.save()
    assert "folded steps of the position" in verified()[1]


def test_a_person_may_change_their_name(world, board):
    world.sela.name = "Sela of the sanding bay"
    world.sela.save()
    assert verified()[0] == 0


def test_one_board_alone(world, board):
    other = world.released()
    Position.objects.filter(board=other).update(state="held")
    assert verified("--board", str(board.number))[0] == 0
    assert verified("--board", str(other.number))[0] == 1
    with pytest.raises(CommandError, match="There is no board 7"):
        call_command("verify_log", "--board", "7")


@pytest.mark.parametrize("model", [Entry, SpecRevision])
def test_the_database_refuses_to_change_or_delete(board, model):
    rows = list(model.objects.order_by("pk").values())
    field = "device" if model is Entry else "colour"
    for deed in (
        lambda: model.objects.update(**{field: "rewritten"}),
        lambda: model.objects.filter(pk=rows[0]["id"]).update(**{field: "rewritten"}),
        lambda: model.objects.filter(pk=rows[-1]["id"])._raw_delete("default"),
    ):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            deed()
    assert list(model.objects.order_by("pk").values()) == rows
