"""Which boards: a design, a construction, a stage or a person narrows every figure alike."""

import pytest
import time_machine
from django.urls import reverse

from orders.designs.models import Design
from stages.floor.actions import release_board
from stages.log.fold import Kind
from stages.turnaround.whose import CONSTRUCTIONS
from tests.stages.turnaround.floor import do, hours, judged_only, on_floor, route

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


@pytest.fixture
def mara(client, world):
    with time_machine.travel(hours(24 * 9), tick=False):
        client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
        yield client


@pytest.fixture
def glassed(world):
    """Shaped by Inka, glassed by Bo for two hours, passed after 24.5 hours."""
    board = on_floor(world, route(world, "Short", "Shaping", "Glassing", "QC"))
    do(world, board, world.inka, 2, 4)
    do(world, board, world.bo, 5, 7)
    do(world, board, world.quin, 24, 24.5, Kind.PASSED)
    return board


@pytest.fixture
def judged(world):
    """Passed after three days, by QC alone."""
    return judged_only(world, 3, by_route=route(world, "QC alone", "QC"))


def passed(client, **asked) -> list[int]:
    answer = client.get(reverse("turnaround-boards"), {"figure": "passed", **asked})
    found = [row.number for row, _ in answer.context["lines"]]
    report = client.get(reverse("turnaround"), asked).context["found"]
    assert report.boards == len(found)
    assert sum(week.boards for week in report.weeks) == len(found)
    return found


def test_a_construction_is_a_resin_on_a_foam_and_polyester_on_polystyrene_is_none(
    mara, world, glassed
):
    way = route(world, "QC alone", "QC")
    light = world.ordered(foam="eps", resin="epoxy")

    release_board(board=light, by=world.cleo, at=hours(0), route=way)
    do(world, light, world.quin, 30, 31, Kind.PASSED)
    assert set(CONSTRUCTIONS) == {"polyester-pu", "epoxy-pu", "epoxy-eps"}
    assert passed(mara, construction="epoxy-eps") == [light.number]
    assert passed(mara, construction="polyester-pu") == [glassed.number]
    assert passed(mara, construction="epoxy-pu") == []
    page = mara.get(reverse("turnaround"), {"construction": "epoxy-eps"}).content.decode()
    assert "Only: Epoxy, Polystyrene (EPS)." in page


def test_a_design_has_the_boards_that_were_made_by_it(mara, world, glassed, judged):
    design = Design.objects.create(name="Skerry", board_class="fish")
    assert passed(mara, design=design.pk) == []
    assert passed(mara) == [judged.number, glassed.number]


def test_with_a_stage_the_times_are_those_spent_there(mara, world, glassed, judged):
    glassing = world.stages["Glassing"].pk
    assert passed(mara, stage=glassing) == [glassed.number]
    # by hand: queue from 4 to 5, touch to 7, and the coat cures until taken at 24: 19 of QC's
    # hours before 24 are not queue but rest, 16 of them by the stage's rest hours
    found = mara.get(reverse("turnaround-times"), {"stage": glassing}).context["found"]
    assert (found.days * 24).tolist() == [1 + 2 + 16]
    assert found.unfinished is None
    report = mara.get(reverse("turnaround"), {"stage": glassing}).context["found"]
    assert report.efficiency == pytest.approx(2 / 19)


def test_a_person_has_the_boards_that_passed_through_those_hands(mara, world, glassed, judged):
    assert passed(mara, crew=world.bo.pk) == [glassed.number]
    assert passed(mara, crew=world.quin.pk) == [judged.number, glassed.number]
    assert passed(mara, crew=world.sela.pk) == []
    # at QC by Bo: nobody's board
    assert passed(mara, crew=world.bo.pk, stage=world.stages["QC"].pk) == []


def test_what_a_person_has_in_hand_is_theirs_before_any_step_is_done(mara, world):
    board = on_floor(world, route(world, "QC alone", "QC"))
    world.log(board, Kind.TAKEN, world.quin, hours(1))
    asked = {"figure": "standing", "crew": world.quin.pk}
    answer = mara.get(reverse("turnaround-boards"), asked)
    assert [row.number for row, _ in answer.context["lines"]] == [board.number]


def test_a_stage_is_a_floor_of_its_own_for_what_moves(mara, world, glassed):
    asked = {"stage": world.stages["Glassing"].pk}
    found = mara.get(reverse("turnaround-flow"), asked).context["found"]
    assert list(found.stages.values()) == ["Glassing"]
    assert found.left[-1] == 1
    # from its arrival 4 hours in until the coat has cured at 23
    assert found.law.average_days == pytest.approx(19 / 24)
    assert found.law.words == "just as many"


def test_narrowing_from_one_page_keeps_the_period_and_the_other_way_round(mara, world, glassed):
    asked = {"period": "26w", "stage": world.stages["QC"].pk}
    page = mara.get(reverse("turnaround-times"), asked).content.decode()
    assert '<input type="hidden" name="period" value="26w">' in page
    assert f'<input type="hidden" name="stage" value="{asked["stage"]}">' in page
