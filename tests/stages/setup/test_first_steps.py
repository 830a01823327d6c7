"""What a new factory still needs: worked out from what is kept, and gone once nothing is left."""

import pytest
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone

from orders.accounts.models import Role, User
from orders.factory.models import Factory
from orders.models import Blank, Design
from stages.crew.models import CrewMember
from stages.routes.house import ensure_house_route
from stages.setup.first_steps import first_steps
from stages.setup.models import Confirmation, Setting
from tests.conftest import forget
from tests.html_forms import parse, presses
from tests.orders.blanks.making import kept

pytestmark = pytest.mark.django_db


def open_steps() -> list[str]:
    return [step.key for step in first_steps() if not step.done]


@pytest.fixture
def owner(client):
    ensure_house_route()
    owner = User.objects.create(username="owner", name="Oda", role=Role.OWNER)
    client.force_login(owner, backend="orders.accounts.backends.PasswordBackend")
    return client


def send_factory(owner, **typed):
    address = reverse("factory")
    page = parse(owner.get(address).content, f"http://testserver{address}")
    press = next(one for one in presses(page, address) if "currency" in one.data)
    return owner.post(address, press.data | typed)


SAID = {
    "name": "Tern Point Boards", "place": "Lunde", "time_zone": "Europe/Oslo",
    "currency": "NOK", "length_unit": "mm", "phone_region": "NO",
}  # fmt: skip


def test_an_empty_factory_asks_for_everything_in_order(owner):
    assert open_steps() == [
        "name", "clock", "crew", "stages", "design", "blank", "order", "ticket",
    ]  # fmt: skip
    page = owner.get(reverse("home"), follow=True)
    assert page.redirect_chain == [(reverse("start"), 302)]
    html = page.content.decode()
    assert "0 of 8 done" in html
    assert all(f'href="{reverse(step.page)}"' in html for step in first_steps())


def test_clock_money_and_units_are_asked_and_not_assumed(owner):
    refused = send_factory(owner)
    assert refused.status_code == 422
    assert set(refused.context["form"].errors) == set(SAID)
    assert "clock" in open_steps()
    assert send_factory(owner, **SAID).status_code == 302
    assert open_steps()[:1] == ["crew"]
    factory = Factory.objects.get()
    assert (factory.currency, factory.length_unit, factory.phone_region) == ("NOK", "mm", "NO")
    assert send_factory(owner).status_code == 302  # drawn with what is kept from now on
    assert Confirmation.objects.get(setting=Setting.FACTORY).by.name == "Oda"


def test_a_word_for_a_code_is_refused_whole(owner):
    refused = send_factory(owner, **SAID | {"currency": "kroner", "phone_region": "Norway"})
    assert set(refused.context["form"].errors) == {"currency", "phone_region"}
    assert "Write the three letters" in refused.content.decode()
    assert 'value="kroner"' in refused.content.decode()


def test_the_defaults_themselves_count_once_they_are_said(owner):
    send_factory(owner, **SAID | {"currency": "EUR", "time_zone": "UTC"})
    assert "clock" not in open_steps()


def test_the_stages_are_done_when_somebody_says_that_they_are_right(owner):
    stages = reverse("stages")
    confirm = reverse("confirm-stages")
    assert f'action="{confirm}"' in owner.get(stages).content.decode()
    assert owner.post(confirm).url == reverse("start")
    assert "stages" not in open_steps()
    assert f'action="{confirm}"' not in owner.get(stages).content.decode()


def test_a_crew_without_hours_is_not_done(owner):
    crew = User.objects.create(username="runa", name="Runa", role=Role.CREW)
    member = CrewMember.objects.create(user=crew, week=[[]] * 7)
    assert "crew" in open_steps()
    member.week = [[[480, 960]], *[[]] * 6]
    member.save()
    assert "crew" not in open_steps()
    crew.is_active = False
    crew.save()
    assert "crew" in open_steps()


def test_other_pages_lead_to_the_next_step_until_nothing_is_left(as_, world):
    mara = as_(world.mara)
    floor = mara.get(reverse("floor")).content.decode()
    assert "4 of 8 done" in floor
    assert "Setting up" not in as_(world.cleo).get(reverse("orders")).content.decode()
    Design.objects.create(name="Tern", board_class="shortboard")
    kept()
    world.released()
    forget()
    assert first_steps() == []
    assert "Setting up" not in mara.get(reverse("floor")).content.decode()
    assert mara.get(reverse("start")).url == reverse("morning")


def test_once_done_it_is_not_asked_again(world, django_assert_num_queries):
    Design.objects.create(name="Tern", board_class="shortboard")
    kept()
    world.released()
    cache.clear()
    first_steps()
    Blank.objects.all().delete()
    with django_assert_num_queries(0):
        assert first_steps() == []


def test_the_demo_is_complete(demo_of):
    demo_of(timezone.now(), finished=20, floor=30)
    assert first_steps() == []
