"""What the form that sends a board back asks: where to, what, where on the board, from where."""

from dataclasses import dataclass
from functools import cached_property

from orders.shape.units import NM_PER_MM
from stages.defects.queries import kinds_offered
from stages.defects.spots import areas, view_box
from stages.log.fold import CLOSED


@dataclass(frozen=True)
class SendBackPart:
    """`causes` are the steps the mistake may have come from: (index, name)."""

    length_mm: int
    width_mm: int
    outline: str
    causes: list[tuple[int, str]]

    @cached_property
    def kinds(self) -> list[str]:
        """Read only where the form is shown."""
        return kinds_offered()

    @property
    def areas(self):
        return areas(self.length_mm, self.width_mm)

    @property
    def sides(self) -> tuple[tuple[str, str], ...]:
        return ("deck", "Deck"), ("bottom", "Bottom, its right rail on your left")

    @property
    def view_box(self) -> str:
        return view_box(self.length_mm, self.width_mm)


def part_of(ticket, position, *, user, now):
    """None for a board that is not on the floor. Reads nothing until the form is shown."""
    if position is None or position.state in CLOSED:
        return None
    spec = ticket.board.spec
    so_far = enumerate(position.steps[: position.index + 1])
    latest = {step.slot: (index, step) for index, step in so_far}
    return SendBackPart(
        length_mm=spec.length_nm // NM_PER_MM,
        width_mm=spec.width_nm // NM_PER_MM,
        outline=spec.silhouette,
        causes=[(index, step.name) for _, (index, step) in sorted(latest.items())],
    )
