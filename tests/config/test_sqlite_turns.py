"""Writers of one process take turns, and nobody fails or waits for ever."""

import threading

import pytest
from django.db import connection, connections, transaction

from orders.customers.models import Customer
from tests.world import MONDAY


@pytest.mark.django_db(transaction=True)
def test_eight_writers_at_once_all_get_their_turn():
    """Read, then write, in one transaction: what fails without turns or IMMEDIATE."""
    failed = []

    def write(number):
        try:
            for _ in range(20):
                with transaction.atomic():
                    count = Customer.objects.count()
                    Customer.objects.create(name=f"{number} after {count}", added_at=MONDAY)
        except Exception as error:
            failed.append(error)
        finally:
            connections["default"].close()

    writers = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert not failed
    assert Customer.objects.count() == 160


@pytest.mark.django_db(transaction=True)
def test_a_writer_that_fails_gives_its_turn_away():
    if connection.vendor != "sqlite":
        pytest.skip("the turns are SQLite's; PostgreSQL has row locks of its own")
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        1 / 0  # noqa: B018
    assert not connection._has_turn
    with transaction.atomic():
        assert connection._has_turn
    assert not connection._has_turn
