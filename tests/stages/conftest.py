"""What the tests of the stages share."""

import pytest
from django.test import Client


@pytest.fixture
def as_(db):
    """`as_(world.inka)` is a browser of her own, signed in."""

    def signed_in(person) -> Client:
        client = Client()
        client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
        return client

    return signed_in
