"""A small floor for these tests: a short route and boards whose every hour is known."""

from datetime import datetime, timedelta

from orders.orderbook.models import Board
from stages.floor.actions import release_board
from stages.log.fold import Kind
from stages.routes.models import Route, RouteStep
from tests.world import MONDAY, World


def route(world: World, name: str, *stages: str) -> Route:
    made = Route.objects.create(name=name)
    for order, stage in enumerate(stages, start=1):
        RouteStep.objects.create(route=made, order=order, stage=world.stages[stage])
    return made


def hours(n: float) -> datetime:
    """So many hours after Monday 2 March 2026, 08:00 UTC, which is 09:00 in Skarvika."""
    return MONDAY + timedelta(hours=n)


def on_floor(world: World, by_route: Route, *, at: datetime = MONDAY, promised_on=None) -> Board:
    board = world.ordered(at=at, promised_on=promised_on)
    release_board(board=board, by=world.cleo, at=at, route=by_route)
    return board


def do(world: World, board: Board, by, taken: float, finished: float, kind=Kind.FINISHED) -> None:
    world.log(board, Kind.TAKEN, by, hours(taken))
    world.log(board, kind, by, hours(finished))


def judged_only(world: World, days: float, *, by_route: Route, promised_on=None) -> Board:
    """A board that has QC alone, and passes it so many days after its release on Monday."""
    board = on_floor(world, by_route, promised_on=promised_on)
    do(world, board, world.quin, 24 * days - 0.25, 24 * days, Kind.PASSED)
    return board
