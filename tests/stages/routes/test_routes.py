"""Which way a board goes through the factory, and how the manager changes it.

Where a box is set follows the trade: three-fin slots before glassing, a centre box after the last
filler coat ("DIY surfboard shaping tutorial: fin box and finishing", Surfers magazine); round
plugs some days after the filler coat ("How are surfboards made", Absecon Island Surfing);
glassed-on fins have no boxes (common practice, no source).
"""

import pytest
from django.urls import reverse

from stages.floor.actions import release_board
from stages.log.models import Position
from stages.routes.models import Route, Stage
from stages.routes.queries import house_route, proposed_steps
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


def test_the_manager_changes_a_stages_minutes_and_adds_a_stage(world, client):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    page = client.get(reverse("stages"))
    data = {}
    for form in page.context["formset"]:
        for field in form:
            value = field.value()
            data[field.html_name] = "" if value is None else value
            if value is False:
                del data[field.html_name]
    data |= {
        f"form-{name}": page.context["formset"].management_form[name].value()
        for name in ("TOTAL_FORMS", "INITIAL_FORMS")
    }
    last = int(data["form-TOTAL_FORMS"]) - 1
    data |= {
        "form-0-minutes": 150,
        f"form-{last}-name": "Machine pre-cut",
        f"form-{last}-bay_name": "Machine room",
        f"form-{last}-minutes": 25,
        f"form-{last}-rest_hours": 0,
    }
    answer = client.post(reverse("stages"), data)
    assert answer.status_code == 302, answer.context["formset"].errors
    assert Stage.objects.get(name="Shaping").minutes == 150
    assert Stage.objects.get(name="Machine pre-cut").bay.name == "Machine room"
