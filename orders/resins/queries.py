from orders.blanks.models import BlankReservation
from orders.specs.models import SpecRevision


def density_for(spec: SpecRevision) -> float | None:
    """kg/m3 of the blank set aside for the board, where it is known."""
    kept = BlankReservation.objects.filter(board=spec.board_id, ended_at=None)
    density = kept.filter(blank__foam=spec.foam).values_list("blank__density", flat=True).first()
    return None if density is None else float(density)
