"""Two people edit one thing from two pages: what one of them did not touch keeps what the other
saved, and only what both changed is asked about. Walked on every page that edits what is kept."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from orders.blanks.actions import keep_blank
from orders.blanks.models import Blank
from orders.designs.actions import add_design
from orders.factory.models import Factory
from orders.merging.forms import BASE
from orders.resins.actions import keep_resin
from orders.resins.models import ResinSystem
from orders.shape.units import parse_length
from orders.specs.models import NUMBER_FIELDS
from stages.crew.models import DaysOff
from stages.routes.models import Bay, Stage
from tests.drawn import sent_by
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
WHY = {"reason": "the rider rang", "moved_for": "customer"}


def stations():
    inch = parse_length("1")
    rows = [(0, 8, 1), (24, 19, 3), (48, 22, 3), (72, 15, 2)]
    return [
        {"x_nm": x * inch, "width_nm": w * inch, "thickness_nm": t * inch, "rocker_nm": 0}
        for x, w, t in rows
    ]


def blank():
    values = {"name": "6-4 A", "foam": "pu", "density": None, "stringer": "eighth"}
    return keep_blank(blank=Blank(), values={**values, "stations": stations()})


def resin(world):
    system = ResinSystem.usual("polyester")
    system.name = "House polyester"
    return keep_resin(system=system, by=world.mara, at=MONDAY)


def design(world):
    numbers = {name: value for name, value in world.spec().items() if name in NUMBER_FIELDS}
    return add_design(
        name="Skerry", board_class="shortboard", note="", base_price_cents=0,
        numbers=numbers, at=MONDAY,
    ).design  # fmt: skip


def person(world):
    day = (MONDAY + timedelta(days=3650)).date()
    DaysOff.objects.create(member=world.bo.crew_member, first=day, last=day)
    return "person", [world.bo.pk]


# Of each page: how it is reached, one field, what is typed into it in two tabs, and another
# field with its value.
PAGES = {
    "board": (lambda w: ("change-board", [w.ordered().number]),
              ("width_nm", "19 3/4", "20"), ("price", "900")),
    "board's choice": (lambda w: ("change-board", [w.ordered().number]),
                       ("tail_shape", "pin", "swallow"), ("promised_on", "2031-05-02")),
    "board's tick": (lambda w: ("change-board", [w.ordered().number]),
                     ("colour", "red", "blue"), ("comes_shaped", "on")),
    "board on the floor": (lambda w: ("board-change", [w.released().number]),
                           ("width_nm", "19 3/4", "20"), ("colour", "red")),
    "fins": (lambda w: ("spec-fins", [w.ordered().spec_id]),
             ("front_toe_nm", "1/8", "3/16"), ("front_cant_deg", "6")),
    "order": (lambda w: ("order-terms", [w.ordered().order.number]), ("note", "a", "b"),
              ("deposit", "300")),
    "customer": (lambda w: ("customer", [w.rider.pk]),
                 ("phone", "+47 92 34 56 00", "+47 92 34 56 01"), ("email", "new@example.com")),
    "rider": (lambda w: ("rider-particulars", [w.rider.pk]), ("mass", "70 kg", "75 kg"),
              ("height", "180 cm")),
    "design": (lambda w: ("new-version", [design(w).pk]), ("width_nm", "20", "21"),
               ("tail_shape", "pin")),
    "blank": (lambda w: ("edit-blank", [blank().pk]), ("name", "A", "B"), ("density", "38")),
    "glass shop": (lambda w: ("glass-shop", []), ("waste_percent", "12", "13"),
                   ("gloss_gsm", "160")),
    "resin": (lambda w: ("resin", [resin(w).pk]), ("pot_safe_g", "400", "450"),
              ("name", "Other name")),
    "factory": (lambda w: ("factory", []), ("name", "Skua", "Tern"), ("place", "Havn")),
    "stage": (lambda w: ("stage", [w.stages["Shaping"].pk]), ("minutes", "95", "99"),
              ("rest_celsius", "22")),
    "bay": (lambda w: ("bay-hours", [Bay.objects.first().pk]), ("places", "3", "4"),
            ("racks", "9")),
    "person": (person, ("name", "Bo B", "Bo C"), ("day_0", "9:00-12:00")),
    "person's days": (person, ("off-0-last", "2036-03-01", "2036-03-02"), ("username", "bob")),
    "dates and promises": (lambda w: ("date-rules", []), ("confidence_percent", "70", "75"),
                           ("floor_limit", "31")),
    "outside bays": (lambda w: ("outside-bays", []), ("1-address", "a", "b"),
                     ("1-outside", "on")),
}


@pytest.fixture
def odd(client, world):
    client.force_login(world.odd, backend="orders.accounts.backends.PasswordBackend")
    return client


def opened(client, path, field):
    """As drawn, without the blank rows offered for more."""
    sent = sent_by(client.get(path), field=field)
    for name in sent:
        if name.endswith("-TOTAL_FORMS"):
            sent[name] = sent[name.replace("TOTAL", "INITIAL")]
    return sent


@pytest.mark.parametrize("page", PAGES)
def test_untouched_fields_keep_what_the_other_tab_saved_and_both_touched_ones_are_asked_about(
    odd, world, page
):
    make, (name, theirs, mine), (other, kept) = PAGES[page]
    where, args = make(world)
    path = reverse(where, args=args)
    first = opened(odd, path, name)
    assert any(key.endswith(BASE) for key in first)
    second, third = dict(first), dict(first)
    to = reverse("spec-fins-mark", args=args) if where == "spec-fins" else path
    saved = odd.post(to, {**first, name: theirs, **WHY})
    assert saved.status_code == 302, saved.context["form"].errors
    saved = odd.post(to, {**second, other: kept, **WHY})
    assert saved.status_code == 302
    if where == "spec-fins":
        path = saved.url
    now = opened(odd, path, name)
    assert now[name] != second[name] and now[other] != second.get(other)
    refused = odd.post(to, {**third, name: mine, **WHY})
    assert refused.status_code == 422
    body = refused.content.decode()
    asked = sent_by(refused, field=name)
    assert asked[name] == [mine] and asked[other] == now[other]
    assert f'id="id_{name}_error"' in body
    assert odd.post(to, {**asked, **WHY}).status_code == 302


def test_an_edit_that_only_writes_a_number_another_way_is_no_change(odd, world):
    board = world.ordered()
    path = reverse("change-board", args=[board.number])
    mine = opened(odd, path, "width_nm")
    odd.post(path, {**opened(odd, path, "width_nm"), "width_nm": "20", **WHY})
    assert odd.post(path, {**mine, "width_nm": "19.5", "price": "900", **WHY}).status_code == 302
    board.refresh_from_db()
    assert (board.spec.width_nm, board.price_cents) == (parse_length("20"), 90_000)


def test_what_stayed_as_somebody_else_saved_it_is_named(odd, world):
    board = world.ordered()
    path = reverse("change-board", args=[board.number])
    mine = opened(odd, path, "width_nm")
    odd.post(path, {**opened(odd, path, "width_nm"), "width_nm": "20", **WHY})
    saved = odd.post(path, {**mine, "price": "900", **WHY}, follow=True)
    assert any("Width" in str(one) for one in saved.context["messages"])


def test_a_base_version_that_cannot_be_read_overwrites_nothing_unasked(odd, world):
    path = reverse("factory")
    mine = {**opened(odd, path, "name"), "base": "broken", "name": "Skua"}
    refused = odd.post(path, mine)
    assert refused.status_code == 422 and set(refused.context["form"].errors) == {"name"}
    assert Factory.objects.get().name == "Gannet Rock Boards"


def test_a_refusal_for_something_else_asks_about_the_conflict_in_the_same_round(odd, world):
    board = world.ordered()
    path = reverse("change-board", args=[board.number])
    mine = opened(odd, path, "width_nm")
    odd.post(path, {**opened(odd, path, "width_nm"), "width_nm": "20", **WHY})
    refused = odd.post(path, {**mine, "width_nm": "19", "thickness_nm": "thick", "reason": ""})
    assert set(refused.context["form"].errors) == {"width_nm", "thickness_nm", "reason"}


def test_the_stations_of_a_blank_are_one_value(odd, world):
    kept = blank()
    path = reverse("edit-blank", args=[kept.pk])
    first = opened(odd, path, "s-0-x_nm")
    untouched, touched = dict(first), dict(first)
    assert odd.post(path, {**first, "s-1-width_nm": "20"}).status_code == 302
    assert odd.post(path, {**untouched, "name": "B"}).status_code == 302
    kept.refresh_from_db()
    assert kept.name == "B" and kept.stations[1]["width_nm"] == parse_length("20")
    refused = odd.post(path, {**touched, "s-2-width_nm": "23"})
    assert refused.status_code == 422
    assert refused.context["stations"].non_form_errors()
    asked = sent_by(refused, field="s-0-x_nm")
    assert odd.post(path, asked).status_code == 302
    kept.refresh_from_db()
    assert kept.stations[2]["width_nm"] == parse_length("23")
    assert kept.stations[1]["width_nm"] == parse_length("19")


def test_the_steps_of_a_route_are_one_value(odd, world):
    path = reverse("route", args=[world.route.pk])
    mine = opened(odd, path, "steps-0-stage")
    before = [step.stage_id for step in world.route.steps.all()]
    assert odd.post(path, {**opened(odd, path, "steps-0-stage"), "steps-0-DELETE": "on"})
    assert odd.post(path, {**mine, "name": "House, newly named"}).status_code == 302
    assert [step.stage_id for step in world.route.steps.all()] == before[1:]
    assert odd.post(path, {**mine, "steps-1-DELETE": "on"}).status_code == 422


def test_help_without_saving_keeps_the_base_version_of_the_page(odd, world):
    """A browser without scripts asks for a design's numbers in the middle of an edit."""
    board = world.ordered()
    path = reverse("change-board", args=[board.number])
    mine = opened(odd, path, "width_nm")
    odd.post(path, {**opened(odd, path, "width_nm"), "width_nm": "20", **WHY})
    looked = odd.post(path, {**mine, "price": "900", "look": "1"})
    assert odd.post(path, {**sent_by(looked, field="width_nm"), **WHY}).status_code == 302
    board.refresh_from_db()
    assert (board.spec.width_nm, board.price_cents) == (parse_length("20"), 90_000)


def days_off(world, *days) -> tuple[str, list[DaysOff]]:
    """The page of a person who is off on days of the year 2036, and those days."""
    member = world.bo.crew_member
    made = [DaysOff.objects.create(member=member, first=day, last=day)
            for day in (date(2036, 3, number) for number in days)]
    return reverse("person", args=[world.bo.pk]), made


def test_a_row_that_a_colleague_removed_stays_removed(odd, world):
    path, (first, second) = days_off(world, 3, 10)
    mine = opened(odd, path, "off-0-first")
    first.delete()
    mine |= {"off-1-last": "2036-03-12", "day_0": "9:00-12:00"}
    answer = odd.post(path, mine, follow=True)
    assert answer.redirect_chain
    assert [str(day) for day in DaysOff.objects.all()] == ["2036-03-10 to 2036-03-12"]
    assert any("a row that was removed" in str(one) for one in answer.context["messages"])


def test_a_row_changed_here_and_removed_by_a_colleague_is_asked_about_once(odd, world):
    path, (first, _) = days_off(world, 3, 10)
    mine = sent_by(odd.get(path), field="off-0-first")
    first.delete()
    refused = odd.post(path, mine | {"off-0-last": "2036-03-05"})
    assert refused.status_code == 422
    assert "Somebody removed this row" in refused.content.decode()
    assert odd.post(path, sent_by(refused, field="off-0-first")).status_code == 302
    assert {str(day) for day in DaysOff.objects.all()} == {
        "2036-03-03 to 2036-03-05", "2036-03-10 to 2036-03-10",
    }  # fmt: skip


def test_a_row_removed_on_both_pages_is_no_question(odd, world):
    path, (first,) = days_off(world, 3)
    mine = sent_by(odd.get(path), field="off-0-first")
    first.delete()
    assert odd.post(path, mine | {"off-0-DELETE": "on"}).status_code == 302
    assert not DaysOff.objects.exists()


def test_a_skill_ticked_while_its_stage_was_retired_is_kept(odd, world):
    path = reverse("person", args=[world.sela.pk])
    gloss = world.stages["Gloss and polish"]
    mine = sent_by(odd.get(path), field="off-0-first")
    mine["skills"] = [*mine["skills"], str(gloss.pk)]
    Stage.objects.filter(pk=gloss.pk).update(retired_at=MONDAY)
    assert odd.post(path, mine).status_code == 302
    assert gloss in world.sela.crew_member.skills.all()
