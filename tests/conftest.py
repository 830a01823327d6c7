"""What every test may ask for."""

import pytest
from django.core.cache import cache
from django.db import connection

from orders.accounts.backends import forget_everyone
from orders.append_only import add_triggers, drop_triggers
from tests.world import World

APPEND_ONLY = [
    "orders_specrevision", "orders_blankmovement", "orders_promise", "stages_entry",
]  # fmt: skip


@pytest.fixture(autouse=True)
def clean_cache():
    """People, skills and the factory are remembered between requests; not between tests."""
    cache.clear()
    forget_everyone()


@pytest.fixture(autouse=True)
def _flush_past_triggers(request):
    """SQLite empties tables with DELETE after a test that commits: its triggers step aside then."""
    marker = request.node.get_closest_marker("django_db")
    commits = "transactional_db" in request.fixturenames or (
        marker and marker.kwargs.get("transaction")
    )
    if not commits:
        yield
        return
    request.getfixturevalue("transactional_db")
    for table in APPEND_ONLY:
        drop_triggers(connection, table)
        add_triggers(connection, table)
    yield
    for table in APPEND_ONLY:
        drop_triggers(connection, table)


@pytest.fixture
def world(db) -> World:
    return World()


def pytest_addoption(parser):
    parser.addoption(
        "--screenshots",
        metavar="FOLDER",
        help="the browser tests keep a picture of every page in every size there",
    )
