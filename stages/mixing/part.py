"""The glassing card on a board's page in the bay: what to cut, what to mix, in which order."""

import hashlib
import json
import math
import uuid
from dataclasses import asdict, dataclass, replace
from functools import cached_property

from django.core.cache import cache
from django.utils.translation import gettext

from orders.glassing.judgement import Limits
from orders.resins.models import GlassShop, ResinSystem
from orders.resins.queries import cups_of
from orders.resins.reckoning import BenchRow, Mix, Sheet, bench_rows, limits_for, sheet_of
from orders.shape.outline import OutlineError
from orders.templatetags.trade import clock_time
from stages.log.fold import Position, State, Step
from stages.mixing.coats import (
    LAMINATION,
    LAPS,
    ORDER_OF_WORK,
    REPAIR,
    SIDES,
    UNRECKONED,
    coats_at,
    due_at,
    is_repair,
    label_of,
)
from stages.mixing.judgement_wording import SENTENCES
from stages.mixing.queries import KEPT_FOR, Other, others_at, poured_at


def part_of(ticket, position, *, user, now):
    """None where no resin is spread. Nothing is reckoned or read until the card is shown."""
    step = position.step if position else None
    if step is None or position.state is State.AWAY:
        return None
    coats = coats_at(step.name, [one.name for one in position.steps])
    return MixPart(ticket, position, coats, user, now) if coats else None


@dataclass(frozen=True)
class Choice:
    """One coat to mix: its usual grams of mixed resin, None where it is weighed as it is mixed."""

    name: str
    side: str = ""
    grams: float | None = None
    mix: Mix | None = None  # at the temperature of the page
    state: str = ""  # what was poured of it at this step
    by: str = ""
    optional: bool = False  # the step is whole without a pot of its own for it

    @property
    def label(self) -> str:
        return label_of(self.name, self.side)


class MixPart:
    def __init__(self, ticket, position: Position, coats: tuple[str, ...], user, now):
        self.ticket, self.position, self.names = ticket, position, coats
        self._user, self._now = user, now
        self.pot = uuid.uuid4()

    @property
    def spec(self):
        return self.ticket.board.spec

    @property
    def index(self) -> int:
        return self.position.index

    @property
    def step(self) -> Step:
        return self.position.step

    @property
    def in_hand(self) -> bool:
        return self.position.state is State.IN_HAND

    @cached_property
    def shop(self) -> GlassShop:
        return GlassShop.current()

    @cached_property
    def system(self) -> ResinSystem:
        in_use = ResinSystem.objects.in_use().filter(kind=self.spec.resin)
        return in_use.first() or ResinSystem.usual(self.spec.resin)

    @property
    def hardener(self) -> str:
        return "Catalyst" if self.system.is_polyester else "Hardener"

    @cached_property
    def _tests(self):
        return cups_of(self.system)

    @property
    def celsius(self) -> float:
        """The shop's usual, until one is typed."""
        return float(self.shop.bay_c)

    @cached_property
    def sheet(self) -> Sheet | None:
        try:
            return sheet_of(
                self.spec,
                shop=self.shop,
                system=self.system,
                tests=self._tests,
                celsius=self.celsius,
            )
        except OutlineError:
            return None

    @cached_property
    def repair(self) -> bool:
        return is_repair(self.position.steps, self.index)

    @cached_property
    def choices(self) -> list[Choice]:
        """What may be mixed here, with how far it is; of a board that came back, the repair."""
        coats = [Choice(REPAIR)] if self.repair else self._coats_of_the_stage
        return [replace(one, state=self._state(one), by=self._by(one)) for one in coats]

    @property
    def whole_again(self) -> list[Choice]:
        return self._coats_of_the_stage if self.repair else []

    @property
    def chosen(self) -> str:
        """The coat to lay next; the first where all are poured."""
        laid = self.position.step.coats
        left = (one for one in self.choices if not one.optional and one.label not in laid)
        return next(left, self.choices[0]).label

    @property
    def mix(self) -> Mix | None:
        return next(one.mix for one in self.choices if one.label == self.chosen)

    @property
    def poured_json(self) -> str:
        return json.dumps(self.position.step.coats)

    def _state(self, choice: Choice) -> str:
        laid = self.position.step.coats
        if choice.name == LAPS and not laid.get(LAPS):
            sides = [label_of(LAMINATION, side) for side in SIDES]
            return gettext("with the sides") if all(side in laid for side in sides) else ""
        if choice.label not in laid:
            return gettext("open") if choice.label in due_at(self.position) else ""
        at, _ = self._poured.get(choice.label, (None, ""))
        return gettext("poured %(time)s") % {"time": clock_time(at)} if at else gettext("poured")

    def _by(self, choice: Choice) -> str:
        laid = choice.label in self.position.step.coats
        return self._poured[choice.label][1] if laid and choice.label in self._poured else ""

    @cached_property
    def _poured(self):
        return poured_at(self.ticket.board_id, self.index) if self.position.step.coats else {}

    @cached_property
    def _coats_of_the_stage(self) -> list[Choice]:
        """The coats mixed at this stage as they are laid, bottom first."""
        found = []
        for name in self.names:
            if name in UNRECKONED:
                found.append(Choice(name))
                continue
            mixes = {mix.coat.side: mix for mix in self._mixes if mix.coat.name == name}
            amounts = {coat.side: coat.amount.usual_g for coat in self._coats if coat.name == name}
            found += [
                Choice(name, side, amounts.get(side), mixes.get(side))
                for side in SIDES
                if side in amounts or not self._coats
            ]
            if name == LAMINATION:
                found.append(Choice(LAPS, optional=True))
        return found

    @property
    def _coats(self):
        return self.sheet.coats if self.sheet else ()

    @property
    def _mixes(self):
        return self.sheet.mixes if self.sheet else ()

    @property
    def cut(self):
        """Cloth is cut where the lamination is; bottom first."""
        sides = self.sheet.sides if self.sheet and LAMINATION in self.names else ()
        return sorted(sides, key=lambda side: SIDES.index(side.name))

    @property
    def order_of_work(self) -> list[str]:
        names = (REPAIR,) if self.repair else self.names
        return [line for name in names for line in ORDER_OF_WORK[name]]

    @cached_property
    def others(self) -> list[Other]:
        """Boards of this session that a pot may be shared with."""
        return others_at(
            self.position.step.stage,
            self.spec.resin,
            but=self.ticket.board_id,
            names=self.names,
            shop=self.shop,
            user=self._user,
            now=self._now,
        )

    @cached_property
    def here(self) -> BenchRow:
        """The table's row at the page's own temperature."""
        return bench_rows(self.system, self._tests, [self.celsius])[0]

    @property
    def bench(self) -> dict:
        """All that a bench without signal needs to dose at another temperature or for more boards:
        the rows are for one gram of resin."""
        limits = limits_for(self.system)
        rows = _table(self.system, self._tests, limits)
        return {
            "rows": {f"{row.celsius:g}": _told(row) for row in rows},
            "safe_g": self.system.pot_safe_g,
            "limits": asdict(limits),
            "says": {code: str(sentence) for code, sentence in SENTENCES.items()},
            "coats": {one.label: one.grams for one in [*self.choices, *self.whole_again]},
            "others": {other.code: other.grams for other in self.others},
            "basis": next((row.minutes.basis for row in rows if row.minutes), ""),
        }


def _table(system: ResinSystem, tests, limits: Limits) -> list[BenchRow]:
    """The same for every board until the resin or its cup tests change."""
    fields = [(field.attname, getattr(system, field.attname)) for field in system._meta.fields]
    told = hashlib.sha256(repr((fields, tests)).encode()).hexdigest()
    return cache.get_or_set(
        f"bench:{told}", lambda: bench_rows(system, tests, _degrees(limits)), KEPT_FOR
    )


def _degrees(limits: Limits) -> list[float]:
    """The half degrees at which this resin is dosed: the device looks up, it does not reckon."""
    first, beyond = (math.ceil(2 * end) for end in (limits.coldest_c, limits.hottest_c))
    return [half / 2 for half in range(first, beyond)]


def _told(row: BenchRow) -> dict:
    if row.dose is None:
        return {"stop": row.stop}
    told = {
        "hardener": row.dose.hardener_g,
        "ml": row.dose.hardener_ml,
        "resin": 1 / row.dose.total_g,  # in a gram of the mix
        "percent": row.percent,
        "said": row.dose.said,
        "note": row.dose.note,
    }
    if row.minutes:
        told["minutes"] = [row.minutes.low, row.minutes.expected, row.minutes.high]
    return told
