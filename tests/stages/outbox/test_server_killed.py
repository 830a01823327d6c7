"""The server dies in the middle of taking things in, again and again; each entry is in once."""

import random
import threading
import time

import pytest

from stages.log.models import Entry
from stages.log.verify import verify
from tests.served import beside_the_tests
from tests.stages.outbox.conftest import intent
from tests.stages.outbox.sending import Sender
from tests.waiting import wait_until
from tests.world import World

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
KILLS, BOARDS, TAPS = 3, 4, 24


def test_killed_three_times_while_two_devices_send_nothing_is_lost_or_doubled():
    world, chance = World(), random.Random(20)
    devices = []
    with beside_the_tests() as server:
        for who in (world.inka, world.mara):
            boards = [world.released() for _ in range(BOARDS)]
            taps = [
                intent(boards[n % BOARDS], "paused" if n // BOARDS % 2 else "taken", who)
                for n in range(TAPS)
            ]
            devices.append((Sender(server.port, list(taps), at_once=5), taps))

        def keep_sending(sender):
            while sender.kept:
                if not sender.send():
                    time.sleep(0.02)

        threads = [threading.Thread(target=keep_sending, args=[one]) for one, _ in devices]
        for thread in threads:
            thread.start()
        kills = 0
        while kills < KILLS and any(thread.is_alive() for thread in threads):
            before = Entry.objects.count()
            wait_until(
                lambda before=before: Entry.objects.count() >= before + 2
                or not any(thread.is_alive() for thread in threads),
                "the devices sent nothing",
            )
            time.sleep(chance.random() * 0.02)  # wherever in the next batch that is
            server.kill()
            kills += 1
            server.start()
        wait_until(
            lambda: not any(thread.is_alive() for thread in threads), "not everything was sent"
        )
    assert kills == KILLS
    assert sum(sender.lost for sender, _ in devices) >= KILLS
    for sender, taps in devices:
        assert set(sender.verdicts.values()) <= {"accepted", "duplicate"}
        refs = [one["ref"] for one in taps]
        in_log = Entry.objects.filter(ref__in=refs).order_by("pk").values_list("ref", flat=True)
        assert [str(ref) for ref in in_log] == refs
    assert not [line for verdict in verify() for line in verdict.differences]
