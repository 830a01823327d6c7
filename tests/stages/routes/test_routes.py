"""Which way a board goes through the factory, and how the manager changes it.

Where a box is set follows the trade: three-fin slots before glassing, a centre box after the last
filler coat ("DIY surfboard shaping tutorial: fin box and finishing", Surfers magazine); round
plugs some days after the filler coat ("How are surfboards made", Absecon Island Surfing);
glassed-on fins have no boxes (common practice, no source).
"""

import pytest
from django.urls import reverse

from stages.crew.forms import PersonForm
from stages.floor.actions import release_board
from stages.log.models import Position
from stages.routes.models import Route, RouteStep, Stage
from stages.routes.queries import house_route, proposed_steps
from tests.html_forms import parse, presses
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def names(board):
    return [step.stage.name for step in proposed_steps(house_route(), board.spec)]


@pytest.mark.parametrize(
    ("choices", "steps"),
    [
        (
            {"box_kind": "single_slot"},
            ["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "QC"],
        ),
        (
            {"box_kind": "centre_box", "fin_setup": "single"},
            ["Shaping", "Glassing", "Fin boxes", "Sanding", "Plug", "QC"],
        ),
        (
            {"box_kind": "two_plug"},
            ["Shaping", "Glassing", "Fin boxes", "Sanding", "Plug", "QC"],
        ),
        ({"box_kind": "glassed_on"}, ["Shaping", "Glassing", "Sanding", "Plug", "QC"]),
        (
            {"box_kind": "centre_and_slots", "fin_setup": "two_plus_one"},
            ["Shaping", "Fin boxes", "Glassing", "Fin boxes", "Sanding", "Plug", "QC"],
        ),
        (
            {"box_kind": "single_slot", "finish": "gloss"},
            ["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "Gloss and polish", "QC"],
        ),
        (
            {"box_kind": "single_slot", "leash_plug": "none"},
            ["Shaping", "Fin boxes", "Glassing", "Sanding", "QC"],
        ),
    ],
)
def test_the_spec_proposes_its_steps(world, choices, steps):
    assert names(world.ordered(**choices)) == steps


def test_some_shops_set_the_plug_before_sanding(world):
    other = Route.objects.get(name="Plug before sanding")
    board = world.ordered()
    release_board(board=board, by=world.cleo, at=MONDAY, route=other)
    steps = Position.objects.get(board=board).folded["steps"]
    assert [step["name"] for step in steps][-3:] == ["Plug", "Sanding", "QC"]


def steps_posted(rows, *, already):
    data = {
        "name": "House route",
        "steps-TOTAL_FORMS": len(rows),
        "steps-INITIAL_FORMS": already,
    }
    for number, (stage, when) in enumerate(rows):
        data[f"steps-{number}-ORDER"] = number + 1
        data[f"steps-{number}-stage"] = stage.pk
        data[f"steps-{number}-when"] = when
    return data


def test_boards_on_the_floor_keep_the_route_they_were_released_with(world, client):
    board = world.released()
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    hot_coat = Stage.objects.create(
        name="Hot coat", bay=world.stages["Glassing"].bay, order=9, minutes=30, rest_hours=4
    )
    rows = [
        (world.stages["Shaping"], "always"),
        (hot_coat, "always"),
        (world.stages["QC"], "always"),
    ]
    answer = client.post(reverse("route", args=[world.route.pk]), steps_posted(rows, already=0))
    assert answer.status_code == 302
    assert [step["name"] for step in Position.objects.get(board=board).folded["steps"]] == [
        "Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "QC",
    ]  # fmt: skip
    later = world.released()
    assert [step["name"] for step in Position.objects.get(board=later).folded["steps"]] == [
        "Shaping", "Hot coat", "QC",
    ]  # fmt: skip


def test_a_route_without_qc_is_refused_in_words(world, client):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    answer = client.post(
        reverse("route", args=[world.route.pk]),
        steps_posted([(world.stages["Shaping"], "always")], already=0),
    )
    assert answer.status_code == 422
    assert "No step of this route passes boards" in answer.content.decode()


def stage_page(client, stage):
    """Where a stage is edited, and what its page sends as it is drawn."""
    address = reverse("stage", args=[stage.pk]) if stage else reverse("new-stage")
    drawn = parse(client.get(address).content, f"http://testserver{address}")
    return address, next(p for p in presses(drawn, address) if "bay_name" in p.data).data


def save_stage(client, stage, **typed):
    address, sent = stage_page(client, stage)
    return client.post(address, sent | typed)


@pytest.fixture
def manager(world, client):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    return client


def test_the_stages_are_a_table_and_each_is_changed_on_a_page_of_its_own(world, manager):
    page = parse(manager.get(reverse("stages")).content, "http://testserver/")
    assert not page.xpath("//main//input[not(@type='hidden')]")
    links = [reverse("stage", args=[stage.pk]) for stage in Stage.objects.all()]
    assert page.xpath("//table[contains(@class, 'stages')]//a/@href") == [
        f"http://testserver{link}" for link in links
    ]
    assert save_stage(manager, world.stages["Shaping"], minutes=150).url == reverse("stages")
    assert Stage.objects.get(name="Shaping").minutes == 150


def test_a_new_stage_comes_last_where_no_place_is_typed(manager):
    typed = {"name": "Machine pre-cut", "bay_name": "Machine room", "minutes": 25}
    assert save_stage(manager, None, **typed, rest_hours=0).status_code == 302
    assert Stage.objects.last().bay.name == "Machine room"


def test_a_stage_is_moved_in_the_list_and_the_others_move_along(world, manager):
    before = [stage.name for stage in Stage.objects.all()]
    assert save_stage(manager, world.stages["QC"], place=2).status_code == 302
    before.remove("QC")
    assert [stage.name for stage in Stage.objects.all()] == [before[0], "QC", *before[1:]]


def test_a_stage_of_a_route_in_use_is_not_retired(world, manager):
    answer = save_stage(manager, world.stages["Plug"], retired="on")
    assert answer.status_code == 422
    assert "House route" in str(answer.context["form"].errors["retired"])
    assert Stage.objects.get(name="Plug").retired_at is None


def test_a_stage_of_no_route_is_retired_and_brought_back(world, manager):
    RouteStep.objects.filter(stage__name="Plug").delete()
    plug = world.stages["Plug"]
    assert save_stage(manager, plug, retired="on").status_code == 302
    assert Stage.objects.get(name="Plug").retired_at is not None
    assert save_stage(manager, plug, retired=[]).status_code == 302
    assert Stage.objects.get(name="Plug").retired_at is None


def test_a_page_open_while_a_colleague_retires_and_moves_its_stage_saves_the_rest(world, manager):
    RouteStep.objects.filter(stage__name="Plug").delete()
    plug = world.stages["Plug"]
    address, stale = stage_page(manager, plug)
    save_stage(manager, plug, retired="on")
    save_stage(manager, world.stages["QC"], place=1)
    answer = manager.post(address, stale | {"minutes": "25"}, follow=True)
    kept = Stage.objects.get(name="Plug")
    assert kept.minutes == 25
    assert kept.retired_at is not None
    assert Stage.objects.first().name == "QC"
    said = answer.content.decode()
    assert "left so: " in said and "Not used any more" in said and "Place in the list" in said


def test_a_person_keeps_a_retired_stage_among_their_skills(world, manager):
    Stage.objects.filter(name="Glassing").update(retired_at=MONDAY)
    form = PersonForm(instance=world.bo, member=world.bo.crew_member)
    offered = set(form.fields["skills"].queryset.values_list("name", flat=True))
    assert "Glassing" in offered
    assert "Glassing" not in PersonForm().fields["skills"].queryset.values_list("name", flat=True)
