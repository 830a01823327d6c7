from django.db.models import Prefetch

from orders.blanks.models import BlankReservation
from orders.glassing.working_time import CupTest as Cup
from orders.resins.models import CupTest, ResinSystem
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


def systems_for(kinds) -> list[tuple[ResinSystem, list[Cup]]]:
    """The resins in use of these kinds with their cup tests, the usual one where none was entered.
    Two queries."""
    tests = CupTest.objects.standing()
    found = list(
        ResinSystem.objects.in_use()
        .filter(kind__in=kinds)
        .prefetch_related(Prefetch("cup_tests", tests, to_attr="standing_tests"))
    )
    entered = {system.kind for system in found}
    pairs = [
        (system, [_cup(test) for test in system.standing_tests] if system.is_polyester else [])
        for system in found
    ]
    return pairs + [(ResinSystem.usual(kind), []) for kind in sorted(set(kinds) - entered)]


def _cup(test: CupTest) -> Cup:
    return Cup(float(test.percent), float(test.celsius), float(test.minutes))
