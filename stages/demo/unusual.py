"""What is not as on every board: an outside bay, shaped blanks, something still to confirm."""

import random
from datetime import timedelta

from orders.accounts.models import User
from orders.orderbook.actions import note_arrival
from orders.orderbook.models import Board, Order
from orders.tickets.code import new_code
from orders.tickets.models import Ticket
from stages.demo import words
from stages.demo.jobs import Job
from stages.demo.van import LINES
from stages.log.fold import State
from stages.outside.models import Manifest, ManifestBoard
from stages.outside.queries import forget_outside_stages
from stages.routes.models import Bay, Stage


def set_up_bays() -> Stage:
    """Three shaping rooms with one board in each, four glassing stands, a rack of fourteen; and the
    stage that another workshop does."""
    Stage.objects.filter(name="Shaping").update(one_at_a_time=True, places=3)
    Stage.objects.filter(name="Glassing").update(places=4, racks=14)
    bay = Bay.objects.create(
        name="The Line Room", order=20, outside=True, address="Behind the net loft, Skarvika"
    )
    forget_outside_stages()
    return Stage.objects.create(name=LINES, bay=bay, order=20, minutes=40)


def pinline_step(steps: list[dict], spec: dict, lines: Stage, count: int) -> list[dict]:
    """Two in three of the boards with pinlines have them pulled outside, before gloss and QC."""
    if "pinline" not in f"{spec['colour']} {spec['art']}" or count % 3 == 0:
        return steps
    step = {
        "stage": lines.pk, "name": lines.name, "minutes": lines.minutes, "rest_s": 0,
        "inspects": False,
    }
    names = [one["name"] for one in steps]
    place = names.index("Gloss and polish" if "Gloss and polish" in names else "QC")
    return [*steps[:place], step, *steps[place:]]


def leave_unconfirmed(jobs: list[Job]) -> None:
    """The colour of one board that is not glassed yet."""
    for job in jobs:
        waits = job.position is not None and job.position.state is State.WAITING
        if waits and job.position.step.name in {"Shaping", "Fin boxes"} and job.revision == 1:
            job.asked.spec["to_confirm"] = ["colour"]
            return


def write_manifests(van: dict, boards: dict[Job, Board], by: int) -> None:
    rng = random.Random("manifests")
    taken = set(Ticket.objects.values_list("code", flat=True))
    for number, at, due, jobs in van["papers"]:
        while (code := new_code(rng.randrange)) in taken:
            pass
        taken.add(code)
        manifest = Manifest.objects.create(
            number=number, code=code, bay_id=van["bay"], due_on=due, made_by_id=by,
            made_at=at - timedelta(minutes=12), sent_at=at,
        )
        ManifestBoard.objects.bulk_create(
            ManifestBoard(manifest=manifest, board=boards[job], order=place)
            for place, job in enumerate(jobs, start=1)
        )


def bring_shaped(*, by: User) -> None:
    """The label's van brought the blanks the day after they were ordered."""
    for order in Order.objects.filter(boards__comes_shaped=True).distinct():
        note_arrival(
            order=order, number=order.boards.filter(comes_shaped=True).count(),
            brought_by=f"the van of {words.LABEL}", by=by,
            at=order.taken_at + timedelta(hours=20),
        )
