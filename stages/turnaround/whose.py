"""Whose boards, and which: what narrows every figure of the turnaround pages."""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from orders.customers.models import CustomerKind
from orders.specs.choices import Foam, Resin
from stages.log.models import Visit

OWN = "own"  # the boards that bear no label but the factory's
CONSTRUCTIONS = {
    f"{resin}-{foam}": f"{Resin(resin).label}, {Foam(foam).label}"
    for resin in Resin.values
    for foam in Foam.values
    if (resin, foam) != (Resin.POLYESTER, Foam.POLYSTYRENE)  # it would dissolve the foam
}


@dataclass(frozen=True)
class Whose:
    """What was chosen, as the address has it; "" is all.

    `label` is a customer's key or OWN, `construction` one of CONSTRUCTIONS, the others keys.
    `words` say each choice as the page does.
    """

    label: str = ""
    design: str = ""
    construction: str = ""
    stage: str = ""
    crew: str = ""
    words: tuple[str, ...] = ()

    @property
    def query(self) -> dict[str, str]:
        names = ("label", "design", "construction", "stage", "crew")
        return {name: value for name in names if (value := getattr(self, name))}

    def boards(self) -> Q:
        """The boards on the floor or off it, of a Position or a Visit: all but the stage's."""
        spec = "board__spec__"
        found = Q()
        if self.label == OWN:
            found &= ~Q(board__order__customer__kind=CustomerKind.LABEL)
        elif self.label:
            found &= Q(board__order__customer=self.label)
        if self.design:
            found &= Q(**{f"{spec}design_version__design": self.design})
        if self.construction:
            resin, foam = self.construction.split("-")
            found &= Q(**{f"{spec}resin": resin, f"{spec}foam": foam})
        if self.crew:
            found &= Q(Exists(self._visits()))
        return found

    def through(self) -> Q:
        """The boards that also came through the stage chosen, there in the person's hands."""
        if not self.stage:
            return self.boards()
        return self.boards() & Q(Exists(self._visits(at_stage=True)))

    def _visits(self, *, at_stage: bool = False):
        wanted = {"by": self.crew} if self.crew else {}
        if at_stage:
            wanted["stage"] = self.stage
        return Visit.objects.filter(board=OuterRef("board_id"), **wanted)
