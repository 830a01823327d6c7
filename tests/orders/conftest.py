import pytest


@pytest.fixture
def counter(client, world):
    """A browser with Cleo of the counter signed in."""
    client.force_login(world.cleo, backend="orders.accounts.backends.PasswordBackend")
    return client
