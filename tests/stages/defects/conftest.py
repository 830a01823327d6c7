import pytest


@pytest.fixture(autouse=True)
def photo_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


@pytest.fixture
def as_(client):
    def sign_in(person):
        client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
        return client

    return sign_in
