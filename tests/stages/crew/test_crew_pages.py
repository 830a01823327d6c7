"""The crew as a list, and one person's page."""

import pytest
from django.urls import reverse

from orders.accounts.models import Role, User
from tests.drawn import sent_by

pytestmark = pytest.mark.django_db


def test_somebody_without_a_password_is_listed_and_saved(as_, world):
    User.objects.create(username="runa", name="Runa", role=Role.CREW, password="")
    runa = User.objects.get(username="runa")
    odd = as_(world.odd)
    assert "Runa" in odd.get(reverse("crew")).content.decode()
    path = reverse("person", args=[runa.pk])
    sent = sent_by(odd.get(path), field="username")
    assert odd.post(path, sent).status_code == 302
    assert odd.post(path, sent | {"name": "Runa L"}).status_code == 302
    runa.refresh_from_db()
    assert runa.name == "Runa L" and not runa.has_usable_password()


@pytest.mark.parametrize("count", ["9" * 30, "9" * 5000, "0x10", "-1"])
def test_a_made_up_count_of_rows_or_skill_is_refused(as_, world, count):
    sent = {"off-TOTAL_FORMS": count, "off-INITIAL_FORMS": count, "skills": count, "name": "Runa"}
    assert as_(world.odd).post(reverse("new-person"), sent).status_code == 422
