"""A board beside its rider: what the panel and the page show."""

from dataclasses import dataclass

from orders.advice.queries import Made, boards_of, class_words, shortest_mm
from orders.customers.models import Customer, CustomerKind, RiderProfile
from orders.factory.models import Factory
from orders.fit.advice import Advice, advise
from orders.fit.earlier import Owned, hole_filled
from orders.fit.guide import Guide, Span
from orders.fit.rider import Ordered, Rider
from orders.fit.words import half_litres, say_board_length, say_litres
from orders.shape.units import NM_PER_MM


@dataclass(frozen=True)
class Scale:
    """A range, and the board on it, as shares of a line in percent for a drawing in SVG."""

    low: float
    high: float
    mark: float

    @property
    def width(self) -> float:
        return max(1.0, self.high - self.low)


@dataclass(frozen=True)
class Row:
    """Litres or length: the usual range in words, the board's own, and the published parts."""

    title: str
    usual: str
    own: str
    scale: Scale
    guides: list[tuple[str, Guide]]


@dataclass(frozen=True)
class Fit:
    board: Ordered
    kind: str
    advice: Advice
    rows: list[Row]
    hole: list[str]
    earlier: list[Made]


def fit_of(
    board: Ordered, *, told: RiderProfile, waves: str, customer: Customer | None,
    before: int | None = None,
) -> Fit:
    """`told` are the particulars that count; `before` as in orders.advice.queries.boards_of."""
    unit = Factory.current().length_unit
    # A shop's or a label's boards are many riders'.
    one_rider = customer is not None and customer.kind == CustomerKind.RIDER
    earlier = boards_of(customer, before=before) if one_rider else []
    advice = advise(
        rider_of(told), board, waves=waves, shortest_mm=shortest_mm(earlier), unit=unit
    )
    owned = [Owned(one.name, one.ordered.length_mm, one.ordered.litres) for one in earlier]
    return Fit(
        board=board,
        kind=class_words(board.board_class),
        advice=advice,
        rows=_rows(advice, board, unit),
        hole=hole_filled(board.length_mm, board.litres, owned, unit=unit),
        earlier=earlier,
    )


def rider_of(told: RiderProfile) -> Rider:
    return Rider(
        mass_kg=told.mass_g and told.mass_g / 1000,
        height_mm=told.height_nm and told.height_nm / NM_PER_MM,
        ability=told.ability,
        often=told.often,
        fitness=told.fitness,
        wetsuit=told.wetsuit,
    )


def _rows(advice: Advice, board: Ordered, unit: str) -> list[Row]:
    def length(mm: float) -> str:
        return say_board_length(mm, unit)

    rows = []
    if advice.litres:
        guides = advice.litres_guides
        rows.append(_row("Litres", advice.litres, board.litres, guides, say_litres, half_litres))
    if advice.length:
        rows.append(
            _row("Length", advice.length, board.length_mm, advice.length_guides, length, length)
        )
    return rows


def _row(title: str, span: Span, own: float, guides: list[Guide], say, say_own) -> Row:
    least, most = min(span.low, own), max(span.high, own)
    room = 0.15 * (most - least) or 1.0
    start, size = least - room, most - least + 2 * room

    def share(value: float) -> float:
        return round(100 * (value - start) / size, 1)

    return Row(
        title=title,
        usual=_from_to(span.low, span.high, say),
        own=say_own(own),
        scale=Scale(share(span.low), share(span.high), share(own)),
        guides=[(_from_to(one.low, one.high, say), one) for one in guides],
    )


def _from_to(low: float, high: float, say) -> str:
    first, last = say(low), say(high)
    if first == last:
        return first
    return f"{first.removesuffix(' L').removesuffix(' cm')} to {last}"
