from orders.blanks.models import BlankReservation
from orders.glassing.working_time import CupTest as Cup
from orders.resins.models import ResinSystem
from orders.specs.models import SpecRevision


def density_for(spec: SpecRevision) -> float | None:
    """kg/m3 of the blank set aside for the board, where it is known."""
    kept = BlankReservation.objects.filter(board=spec.board_id, ended_at=None)
    density = kept.filter(blank__foam=spec.foam).values_list("blank__density", flat=True).first()
    return None if density is None else float(density)


def cups_of(system: ResinSystem) -> list[Cup]:
    """The cup tests that stand, of a polyester."""
    if not system.pk or not system.is_polyester:
        return []
    rows = system.cup_tests.standing().values_list("percent", "celsius", "minutes")
    return [Cup(*map(float, row)) for row in rows]
