"""What protects the sign-in and the pages."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.world import PASSWORD

pytestmark = pytest.mark.django_db


def test_a_password_opens_ones_own_first_page(world, client):
    answer = client.post(reverse("sign-in"), {"username": "cleo", "password": PASSWORD})
    assert answer.status_code == 302
    assert client.get(reverse("home")).url == reverse("counter")


def test_after_six_wrong_passwords_the_name_is_locked_on_that_device(world, client):
    for _ in range(6):
        answer = client.post(reverse("sign-in"), {"username": "cleo", "password": "wrong"})
    answer = client.post(reverse("sign-in"), {"username": "cleo", "password": PASSWORD})
    assert answer.status_code == 429
    assert "Too many tries" in answer.content.decode()


def test_a_form_without_its_token_is_refused_in_words(world):
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post(reverse("sign-in"), {"username": "cleo", "password": PASSWORD})
    assert answer.status_code == 403
    assert "Nothing was saved by that tap" in answer.content.decode()


def test_pages_carry_a_policy_without_inline_script_or_style(world, client):
    policy = client.get(reverse("sign-in")).headers["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "style-src 'self'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy


def test_signing_in_does_not_lead_off_to_another_site(world, client):
    answer = client.post(
        reverse("sign-in"),
        {"username": "cleo", "password": PASSWORD, "next": "https://elsewhere.example/"},
    )
    assert answer.url == reverse("home")


def test_someone_who_left_is_shut_out_at_once(world, client):
    from orders.accounts.backends import forget_user

    client.force_login(world.cleo, backend="orders.accounts.backends.PasswordBackend")
    assert client.get(reverse("home")).status_code == 302
    world.cleo.is_active = False
    world.cleo.save()
    forget_user(world.cleo.pk)
    assert client.get(reverse("home")).url.startswith(reverse("sign-in"))


def test_a_manager_gives_a_person_a_pin_and_skills(world, client):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    answer = client.post(
        reverse("new-person"),
        {
            "name": "Runa",
            "username": "runa",
            "role": "crew",
            "is_active": "on",
            "password": "a long enough phrase",
            "new_pin": "8642",
            "skills": [world.stages["Sanding"].pk],
            "day_0": "8-12, 12:30-16",
            **{
                f"{rows}-{count}_FORMS": "0"
                for rows in ("off", "changed") for count in ("TOTAL", "INITIAL")
            },
        },
    )
    assert answer.status_code == 302, answer.context["form"].errors
    from orders.accounts.models import User

    runa = User.objects.get(username="runa")
    assert runa.check_pin("8642")
    assert runa.crew_member.week[0] == [[480, 720], [750, 960]]
    assert [stage.name for stage in runa.crew_member.skills.all()] == ["Sanding"]


def test_a_manager_cannot_make_themselves_owner(world, client):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    answer = client.post(
        reverse("person", args=[world.mara.pk]),
        {"name": "Mara", "username": "mara", "role": "owner", "is_active": "on"},
    )
    assert answer.status_code == 422
    world.mara.refresh_from_db()
    assert world.mara.role == "manager"
