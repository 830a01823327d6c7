"""Fills a SQLite database with years of finished boards, by copying one that was really made."""

from datetime import UTC, datetime, timedelta

from django.core.management import call_command
from django.db import connection, transaction

from orders.models import Board, Order, SpecRevision, Ticket
from stages.floor.actions import hand_over
from stages.log.fold import Kind
from stages.models import Entry, Position, Visit
from tests.world import World

FAR = 1_000_000  # numbers of copies begin here


def prepare(*, on_floor: int, finished: int) -> World:
    """A migrated database with so many boards on the floor and so many behind it."""
    call_command("migrate", verbosity=0)
    world = World()
    now = datetime.now(UTC)
    done = world.released(at=now - timedelta(days=60))
    at = world.worked(done, until="rack", start=now - timedelta(days=60))
    hand_over(board=done, by=world.cleo, at=at)
    copy_board(done, finished - 1)
    world.floor = []
    stops = ["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "QC"]
    for number in range(on_floor):
        board = world.released(at=now - timedelta(days=20))
        stop = stops[number % len(stops)]
        at = world.worked(board, until=stop, start=now - timedelta(days=20))
        if number % 5 == 0:
            position = Position.objects.get(board=board)
            at = max(at, position.rests_until or at)
            world.log(board, Kind.TAKEN, world.hands_for(board), at + timedelta(minutes=5))
        world.floor.append(board)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return world


def copy_board(board: Board, times: int) -> None:
    """Copies a board with its order, spec, ticket, log and projection, in plain SQL."""
    if times < 1:
        return
    token = "lower(hex(randomblob(15)))"
    code = "printf('X%07d', i)"
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("PRAGMA defer_foreign_keys = ON")
        cursor.execute("CREATE TEMP TABLE copies (i INTEGER PRIMARY KEY)")
        cursor.execute(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < %s) "
            "INSERT INTO copies SELECT i FROM n",
            [times],
        )
        own = f"{FAR} + i"
        for model, where, changed in [
            (Order, f"id = {board.order_id}", {"id": own, "number": own, "ref": _UUID}),
            (
                Board,
                f"id = {board.pk}",
                {"id": own, "number": own, "order_id": own, "spec_id": own, "rider_token": token},
            ),
            (SpecRevision, f"board_id = {board.pk}", {"id": own, "board_id": own}),
            (
                Ticket,
                f"board_id = {board.pk}",
                {"id": None, "board_id": own, "revision_id": own, "code": code},
            ),
            (Entry, f"board_id = {board.pk}", {"id": None, "board_id": own, "ref": _UUID}),
            (Visit, f"board_id = {board.pk}", {"id": None, "board_id": own}),
            (Position, f"board_id = {board.pk}", {"board_id": own}),
        ]:
            columns = [
                field.column
                for field in model._meta.concrete_fields
                if changed.get(field.column, "") is not None
            ]
            values = ", ".join(changed.get(column) or f'"{column}"' for column in columns)
            names = ", ".join(f'"{column}"' for column in columns)
            cursor.execute(
                f"INSERT INTO {model._meta.db_table} ({names}) "
                f"SELECT {values} FROM {model._meta.db_table}, copies WHERE {where}"
            )
        cursor.execute("DROP TABLE copies")


_UUID = "lower(hex(randomblob(16)))"
