"""The cast and the small factory of the tests: people with names, boards with numbers."""

import uuid
from datetime import UTC, date, datetime, timedelta

from django.core.cache import cache

from orders.accounts.models import Role, User
from orders.customers.folding import fold as folded
from orders.customers.models import Customer
from orders.factory.models import Factory
from orders.orderbook.actions import BoardAsked, OrderAsked, take_order
from orders.orderbook.models import Board
from orders.shape.units import parse_length
from stages.crew.models import CrewMember
from stages.defects.usual import ensure_defects
from stages.floor.actions import release_board
from stages.log.fold import Kind
from stages.log.models import Entry, Position
from stages.log.record import record
from stages.routes.house import ensure_house_route
from stages.routes.models import Stage
from stages.setup.actions import confirm
from stages.setup.models import Setting

PASSWORD = "foam and resin"
PIN = "2741"
MONDAY = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


class World:
    """Everything a test needs, made once: `world.bo` is the glasser, `world.mara` the manager."""

    def __init__(self):
        cache.clear()
        Factory.objects.update_or_create(
            pk=1,
            defaults={
                "name": "Gannet Rock Boards",
                "place": "Skarvika",
                "time_zone": "Europe/Oslo",
                "currency": "EUR",
                "phone_region": "NO",
            },
        )
        cache.clear()
        self.route = ensure_house_route()
        ensure_defects()
        self.stages = {stage.name: stage for stage in Stage.objects.all()}
        self.cleo = self.person("cleo", "Cleo", Role.COUNTER)
        self.inka = self.person("inka", "Inka", Role.CREW, "Shaping", "Fin boxes")
        self.bo = self.person("bo", "Bo", Role.CREW, "Glassing", "Fin boxes", "Gloss and polish")
        self.sela = self.person("sela", "Sela", Role.CREW, "Sanding", "Plug")
        self.quin = self.person("quin", "Quin", Role.CREW, "QC", "Plug")
        self.mara = self.person("mara", "Mara", Role.MANAGER)
        self.odd = self.person("odd", "Odd", Role.OWNER)
        for setting in Setting:
            confirm(setting=setting, by=self.odd, at=MONDAY)
        self.rider = Customer.objects.create(
            name="Åse Tangvær",
            phone="+4792345678",
            email="ase@example.com",
            search=folded("Åse Tangvær +4792345678 ase@example.com"),
            added_at=MONDAY,
        )

    def person(self, username: str, name: str, role: Role, *skills: str) -> User:
        user = User(username=username, name=name, role=role)
        user.set_password(PASSWORD)
        if role == Role.CREW:
            user.set_pin(PIN)
        user.save()
        if role == Role.CREW:
            member = CrewMember.objects.create(user=user, week=[[[480, 720], [750, 960]]] * 5)
            member.skills.set(self.stages[skill] for skill in skills)
        return user

    def spec(self, **changes) -> dict:
        return {
            "length_nm": parse_length("6'2", bare="ft"),
            "width_nm": parse_length("19 1/2"),
            "thickness_nm": parse_length("2 7/16"),
            "nose_nm": parse_length("11 3/4"),
            "tail_nm": parse_length("14 1/2"),
            "tail_shape": "squash",
            "colour": "Clear, grey pinline",
            **changes,
        }

    def ordered(self, *, at=MONDAY, promised_on=date(2026, 4, 10), **spec) -> Board:
        """One board in the order book, not yet released."""
        order = take_order(
            asked=OrderAsked(
                customer=self.rider,
                boards=[
                    BoardAsked(spec=self.spec(**spec), price_cents=85_000, promised_on=promised_on)
                ],
                deposit_cents=40_000,
                ref=uuid.uuid4(),
            ),
            by=self.cleo,
            at=at,
        )
        return order.boards.get()

    def released(self, *, at=MONDAY, **changes) -> Board:
        board = self.ordered(at=at, **changes)
        release_board(board=board, by=self.cleo, at=at)
        return board

    def log(self, board: Board, kind: Kind, by: User, at: datetime, **more) -> Entry:
        return record(board=board, kind=kind, by=by, at=at, **more)

    def hands_for(self, board: Board) -> User:
        """Someone of the crew who may do the board's present step."""
        stage = Position.objects.get(board=board).stage
        return stage.crew.first().user

    def worked(self, board: Board, *, until: str, start=MONDAY) -> datetime:
        """Does every step before the one named `until` ("rack" for all); returns the time then."""
        at = start
        while True:
            position = Position.objects.select_related("stage").get(board=board)
            if position.stage is None or position.stage.name == until:
                return at
            by = self.hands_for(board)
            at = max(at, position.rests_until or at) + timedelta(minutes=30)
            self.log(board, Kind.TAKEN, by, at)
            at += timedelta(minutes=position.stage.minutes)
            self.log(board, Kind.PASSED if position.stage.inspects else Kind.FINISHED, by, at)
