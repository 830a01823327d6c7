"""The factory's own list of what can be wrong with a board."""

import pytest
from django.urls import reverse

from stages.defects.models import DefectKind
from stages.defects.queries import kinds_offered
from stages.defects.usual import ensure_defects

pytestmark = pytest.mark.django_db


@pytest.fixture
def mara(client, world):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    return client


def typed(client, **changes) -> dict:
    """The page's fields as they stand, with `changes` by field name."""
    formset = client.get(reverse("defects")).context["formset"]
    fields = {
        f"{form.prefix}-{name}": "" if form[name].value() is None else form[name].value()
        for form in formset
        for name in form.fields
        if form[name].value() is not False
    }
    management = {
        f"form-{name}": formset.management_form[name].value()
        for name in formset.management_form.fields
    }
    kept = {name: value for name, value in {**fields, **management}.items() if value is not None}
    return {**kept, **changes}


def test_a_new_factory_starts_with_the_trades_own_names_once(world):
    before = kinds_offered()
    assert before[:2] == ["sand-through", "pinholes"]
    assert before[-1] == "other: see the note"
    DefectKind.objects.filter(name="twist").delete()
    ensure_defects()
    assert "twist" not in kinds_offered()


def test_the_manager_adds_renames_moves_and_retires_names(mara):
    last = DefectKind.objects.count()
    answer = mara.post(
        reverse("defects"),
        typed(
            mara,
            **{
                "form-0-name": "sanded through",
                "form-1-retired": "on",
                "form-2-order": "1",
                f"form-{last}-name": "sticky lap",
                f"form-{last}-order": "",
            },
        ),
    )
    assert answer.status_code == 302
    offered = kinds_offered()
    assert offered[:2] == ["sanded through", "stringer gassing"]
    assert "pinholes" not in offered
    assert offered[-1] == "sticky lap"


def test_the_same_name_twice_is_refused_beside_it_and_what_was_typed_stays(mara):
    last = DefectKind.objects.count()
    answer = mara.post(
        reverse("defects"),
        typed(mara, **{f"form-{last}-name": "twist", "form-0-name": "sanded through"}),
    )
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "already exists" in page
    assert 'value="sanded through"' in page
    assert DefectKind.objects.count() == last
    assert "sand-through" in kinds_offered()


def test_the_set_up_page_leads_to_the_list(mara):
    assert reverse("defects") in mara.get(reverse("setup")).content.decode()
