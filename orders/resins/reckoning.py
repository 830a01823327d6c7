"""From what is stored to the pure reckoning of cloth, resin, hardener and time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from orders.glassing.cautions import cautions
from orders.glassing.cloth import CutRules, Piece, pieces_of
from orders.glassing.hardener import Dose, Epoxy, NoDose, Polyester
from orders.glassing.judgement import Limits, limits_of
from orders.glassing.resin import PUBLISHED_FILLER_GSM, PUBLISHED_RATIOS, Coat, coats_of, pots
from orders.glassing.schedule import parse_schedule
from orders.glassing.units import UnitError
from orders.glassing.working_time import (
    PUBLISHED_GELS,
    CupTest,
    Minutes,
    NoTime,
    epoxy_minutes,
    polyester_minutes,
    polyester_minutes_at,
)
from orders.resins.models import GlassShop, ResinSystem
from orders.shape.body import Body, body_of
from orders.shape.mass import STRINGER_MM, Mass, Span, board_mass, usual_foam
from orders.shape.numbers import board_class
from orders.shape.units import NM_PER_MM
from orders.specs.choices import Finish
from orders.specs.drawing import shape_of
from orders.specs.models import BoardNumbers

SIDES = ("deck", "bottom")
# From memory: how far one blank's density may lie from its kind's.
KNOWN_FOAM_SPREAD = 0.05


@dataclass(frozen=True)
class Side:
    """The cloth of one side; `problem` when its schedule cannot be read."""

    name: str
    written: str
    pieces: tuple[Piece, ...] = ()
    problem: str = ""


@dataclass(frozen=True)
class Mix:
    """One coat of one side: how many pots, and what goes in each."""

    coat: Coat
    pots: int
    each: Dose


@dataclass(frozen=True)
class Sheet:
    """All that the cloth and resin sheet says. `stop` is why there are no mixes, `no_time` why
    no working time."""

    body: Body
    sides: tuple[Side, ...]
    coats: tuple[Coat, ...]
    mixes: tuple[Mix, ...]
    stop: str
    minutes: Minutes | None
    no_time: str
    published: tuple
    mass: Mass | None
    cautions: tuple[str, ...]
    ratios: tuple[float, float] = PUBLISHED_RATIOS
    filler_gsm: tuple[float, float] = PUBLISHED_FILLER_GSM

    @property
    def dose(self) -> Dose | None:
        return self.mixes[0].each if self.mixes else None


@dataclass(frozen=True)
class BenchRow:
    """What one gram of resin takes at a temperature, and how long the mix can be worked. `stop`
    is why there is no dose; `minutes` None: nothing is known of it."""

    celsius: float
    dose: Dose | None
    percent: float | None = None
    minutes: Minutes | None = None
    stop: str = ""


def bench_rows(system: ResinSystem, tests: Sequence[CupTest],
               temperatures: Sequence[float]) -> list[BenchRow]:
    """The whole table of a resin, for a bench that cannot ask again."""
    rows = [_bench_row(system, celsius) for celsius in temperatures]
    dosed = [row for row in rows if row.dose]
    minutes = dict(zip(dosed, _minutes_at(system, tests, dosed), strict=True))
    return [replace(row, minutes=minutes.get(row)) for row in rows]


def _bench_row(system: ResinSystem, celsius: float) -> BenchRow:
    try:
        if system.is_polyester:
            resin = polyester_of(system)
            return BenchRow(celsius, resin.dose(1.0, celsius), resin.percent_at(celsius))
        epoxy = epoxy_of(system)
        return BenchRow(celsius, epoxy.mix(1 + epoxy.weight_ratio, celsius))
    except NoDose as error:
        return BenchRow(celsius, None, stop=str(error))


def _minutes_at(system: ResinSystem, tests, rows: list[BenchRow]) -> list[Minutes | None]:
    if system.is_polyester:
        return polyester_minutes_at(tests, [(row.percent, row.celsius) for row in rows])
    told = []
    for row in rows:
        try:
            told.append(_minutes(system, tests, row.celsius, None))
        except NoTime:
            told.append(None)
    return told


def sheet_of(spec: BoardNumbers, *, shop: GlassShop, system: ResinSystem,
             tests: Sequence[CupTest], celsius: float, percent: float | None = None,
             foam_kg_m3: float | None = None) -> Sheet:
    """The sheet of a spec; raises OutlineError for numbers that make no board. `foam_kg_m3` is
    the density of the blank set aside for it, when that is known."""
    body = body_of(shape_of(spec))
    sides = _sides(spec, body, shop)
    coats = _coats(spec, body, sides, shop)
    mixes, stop, minutes, no_time = (), "", None, ""
    try:
        mixes = tuple(_mix(coat, system, celsius, percent) for coat in coats)
    except NoDose as error:
        stop = str(error)
    if not stop:
        try:
            minutes = _minutes(system, tests, celsius, percent)
        except NoTime as error:
            no_time = str(error)
    return Sheet(body, sides, coats, mixes, stop, minutes, no_time,
                 PUBLISHED_GELS if no_time and system.is_polyester else (),
                 _mass(spec, body, sides, shop, foam_kg_m3),
                 cautions(system.kind))


def coats_for(spec: BoardNumbers, *, shop: GlassShop) -> tuple[Coat, ...]:
    """What the coats of a board take, whichever resin is used."""
    body = body_of(shape_of(spec))
    return _coats(spec, body, _sides(spec, body, shop), shop)


def _coats(spec, body, sides, shop: GlassShop) -> tuple[Coat, ...]:
    gloss = spec.finish == Finish.GLOSS
    return tuple(
        coat for side, skin in zip(sides, body.skin_mm2, strict=True) if not side.problem
        for coat in coats_of(side.pieces, side.name, skin, ratio=float(shop.resin_ratio),
                             filler_gsm=shop.filler_gsm,
                             gloss_gsm=shop.gloss_gsm if gloss else None))


def mass_of(spec: BoardNumbers, *, shop: GlassShop, foam_kg_m3: float | None = None) -> Mass | None:
    """What the board will weigh; None while a cloth schedule cannot be read."""
    body = body_of(shape_of(spec))
    return _mass(spec, body, _sides(spec, body, shop), shop, foam_kg_m3)


def _mass(spec, body, sides, shop: GlassShop, foam_kg_m3: float | None) -> Mass | None:
    if any(side.problem for side in sides):
        return None
    return board_mass(body, foam=_foam(spec.foam, shop, body, foam_kg_m3),
                      stringer_mm=STRINGER_MM[spec.stringer],
                      laid_cloth_g=[piece.laid_g for side in sides for piece in side.pieces],
                      gloss=spec.finish == Finish.GLOSS)


def _sides(spec, body, shop: GlassShop) -> tuple[Side, ...]:
    return tuple(_side(body, name, getattr(spec, f"{name}_cloth"), rules_of(shop))
                 for name in SIDES)


def rules_of(shop: GlassShop) -> CutRules:
    return CutRules(tuple(nm / NM_PER_MM for nm in shop.roll_widths_nm), shop.lap_nm / NM_PER_MM,
                    float(shop.waste_percent) / 100)


def polyester_of(system: ResinSystem) -> Polyester:
    return Polyester(tuple(tuple(row) for row in system.chart), system.convention,
                     float(system.resin_g_per_ml), float(system.hardener_g_per_ml),
                     float(system.coldest_c), float(system.hottest_c))


def epoxy_of(system: ResinSystem) -> Epoxy:
    return Epoxy((float(system.parts_resin), float(system.parts_hardener)), system.measured_by,
                 float(system.resin_g_per_ml), float(system.hardener_g_per_ml),
                 float(system.coldest_c), float(system.hottest_c))


def limits_for(system: ResinSystem) -> Limits:
    """What a mix of this resin is judged by."""
    resin = polyester_of(system) if system.is_polyester else epoxy_of(system)
    return limits_of(resin, float(system.pot_safe_g))


def _side(body, name, written, rules) -> Side:
    try:
        return Side(name, written, tuple(pieces_of(body, name, parse_schedule(written), rules)))
    except UnitError as error:
        return Side(name, written, problem=str(error))


def _mix(coat: Coat, system: ResinSystem, celsius, percent) -> Mix:
    count, each_g = pots(coat.amount.usual_g, system.pot_safe_g)
    if system.is_polyester:
        return Mix(coat, count, polyester_of(system).mix(each_g, celsius, percent))
    return Mix(coat, count, epoxy_of(system).mix(each_g, celsius))


def _minutes(system: ResinSystem, tests, celsius, percent) -> Minutes:
    if system.is_polyester:
        if percent is None:
            percent = polyester_of(system).percent_at(celsius)
        return polyester_minutes(tests, percent, celsius)
    if system.pot_minutes is None:
        raise NoTime("This epoxy's pot life is not entered yet. It stands in its data sheet; a "
                     "manager writes it in the set-up.")
    return epoxy_minutes(float(system.pot_minutes), float(system.pot_at_c), celsius)


def _foam(kind: str, shop: GlassShop, body: Body, of_blank: float | None) -> Span:
    known = of_blank or getattr(shop, f"{kind}_kg_m3")
    if known is None:
        return usual_foam(kind, board_class(body.numbers))
    return Span(float(known), *(float(known) * (1 + side * KNOWN_FOAM_SPREAD) for side in (-1, 1)))
