"""What every test may ask for."""

import copy

import pytest
from django.core.cache import cache
from django.db import connection
from django.template import Template
from django.test import TransactionTestCase
from hypothesis import HealthCheck, settings

from orders.accounts.backends import forget_everyone
from stages.demo.load import load_demo
from tests import ready
from tests.examples import LONG, examples
from tests.world import World

# At every run the same examples, so that what passed once passes again; others in the long form.
settings.register_profile(
    "rackbound",
    max_examples=examples(200),
    derandomize=not LONG,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("rackbound")


@pytest.fixture(scope="session")
def django_db_setup(django_test_environment, django_db_modify_db_settings, django_db_blocker):
    """A copy of a database that was migrated once, dropped when the last test is done."""
    named = connection.settings_dict["NAME"]
    # Whatever a test committed is taken away again, and Django need not write anew what it keeps
    # about the models.
    TransactionTestCase._fixture_teardown = lambda case: ready.empty()
    with django_db_blocker.unblock():
        ready.make_database()
    yield
    with django_db_blocker.unblock():
        connection.creation.destroy_test_db(named, verbosity=0)


@pytest.fixture(scope="session")
def cast(django_db_setup, django_db_blocker) -> ready.Rows:
    with django_db_blocker.unblock():
        return ready.Rows(World)


@pytest.fixture(scope="session", autouse=True)
def contexts_of_pages(django_test_environment):
    """`response.context` holds what a page was rendered with. Django's test environment copies the
    context of every part and widget too, a tenth of the time of a page with a long form."""
    report_and_render = Template._render

    def render(template, context):
        if context.template is template:
            return report_and_render(template, context)
        return template.nodelist.render(context)

    Template._render = render


def forget() -> None:
    """People, skills and the factory are remembered between requests; not between tests."""
    cache.clear()
    forget_everyone()


@pytest.fixture(autouse=True)
def clean_cache():
    forget()


@pytest.fixture
def world(cast, db) -> World:
    """The small factory, as `World()` makes it."""
    cast.put()
    return copy.deepcopy(cast.made)


_furnished = {}


@pytest.fixture
def furnished(db):
    """`furnished(make)` is the small factory that `make(World())` answers, made but once."""

    def put(make):
        if make not in _furnished:
            _furnished[make] = ready.Rows(lambda: make(World()))
        _furnished[make].put()
        return copy.deepcopy(_furnished[make].made)

    return put


_demos = {}


@pytest.fixture
def demo_of(db):
    """`demo_of(now, finished=400)` is what `load_demo` answers. It plays the same one but once."""

    def loaded(now, **asked):
        asked_for = (now, *sorted(asked.items()))
        if asked_for not in _demos:
            _demos[asked_for] = ready.Rows(lambda: load_demo(now, **asked))
        _demos[asked_for].put()
        return _demos[asked_for].made

    return loaded


def pytest_addoption(parser):
    parser.addoption(
        "--screenshots",
        metavar="FOLDER",
        help="the browser tests keep a picture of every page in every size there",
    )
