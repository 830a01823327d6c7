"""A small floor for these tests: a short route, and boards that go through it well or badly."""

from datetime import timedelta

from stages.log.fold import Kind
from stages.log.models import Position
from tests.stages.turnaround.floor import on_floor, route
from tests.world import MONDAY


class Floor:
    """Boards go through glassing, sanding and QC; each step takes an hour, half of it in hand."""

    def __init__(self, world):
        self.world = world
        self.route = route(world, "Short", "Glassing", "Sanding", "QC")
        self.hands = {"Glassing": world.bo, "Sanding": world.sela, "QC": world.quin}

    def to(self, board, stage: str | None, at):
        """Does every step before the one named (None: all); the time then."""
        while True:
            position = Position.objects.select_related("stage").get(board=board)
            if position.stage is None or position.stage.name == stage:
                return at
            name = position.stage.name
            at = max(at, position.rests_until or at) + timedelta(minutes=30)
            self.world.log(board, Kind.TAKEN, self.hands[name], at)
            at += timedelta(minutes=30)
            kind = Kind.PASSED if name == "QC" else Kind.FINISHED
            self.world.log(board, kind, self.hands[name], at)

    def begun(self, at=MONDAY):
        return on_floor(self.world, self.route, at=at)

    def good(self, at=MONDAY):
        board = self.begun(at)
        self.to(board, None, at)
        return board

    def back(self, board, at, to: int, defect: str, **more):
        """QC takes it in hand and sends it back to a step."""
        at = self.to(board, "QC", at) + timedelta(minutes=5)
        self.world.log(board, Kind.TAKEN, self.world.quin, at)
        said = {"to": to, "cause": to, "defect": defect, "note": "left rail", **more}
        at += timedelta(minutes=5)
        return self.world.log(board, Kind.SENT_BACK, self.world.quin, at, payload=said), at

    def sent_back(self, to: int, defect: str, at=MONDAY, **more):
        board = self.begun(at)
        _, at = self.back(board, at, to, defect, **more)
        self.to(board, None, at)
        return board
