"""However two devices' batches interleave, repeat, split and lose their answers: once, in order."""

from collections import Counter

import pytest
from django.db import transaction
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stages.log.models import Entry
from stages.log.verify import verify
from stages.outbox.models import Clash
from tests.examples import examples
from tests.stages.outbox.conftest import intent, send

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
GONE = {"accepted", "duplicate", "clash"}

# On which board each tap of a device is: two of its own and one that both reach for.
TAPS = st.lists(st.integers(0, 2), min_size=1, max_size=14)
# Which device sends, how many it sends again, how many more, and whether the answer is lost.
SENDINGS = st.lists(
    st.tuples(st.integers(0, 1), st.integers(0, 4), st.integers(0, 6), st.booleans()), max_size=12
)


class Device:
    def __init__(self, who, boards, taps):
        self.client, self.settled, self.made = Client(), 0, []
        turn = Counter()
        for which in taps:
            kind = "paused" if turn[which] % 2 else "taken"
            self.made.append(intent(boards[which], kind, who))
            turn[which] += 1
        self.own = {
            one["ref"] for one, which in zip(self.made, taps, strict=True) if which < 2
        }

    def send(self, again, more, lost):
        first = max(0, self.settled - again)
        batch = self.made[first : self.settled + more]
        if not batch:
            return
        verdicts = send(self.client, *batch)
        assert [one["ref"] for one in verdicts] == [one["ref"] for one in batch]
        assert {one["verdict"] for one in verdicts} <= GONE
        assert all(one["verdict"] != "clash" for one in verdicts if one["ref"] in self.own)
        if not lost:
            self.settled = max(self.settled, first + len(batch))


@settings(
    max_examples=examples(400, few=8),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(taps=st.tuples(TAPS, TAPS), sendings=SENDINGS)
def test_each_entry_is_in_once_and_in_its_devices_order(world, taps, sendings):
    with transaction.atomic():
        shared = world.released()
        devices = [
            Device(who, [world.released(), world.released(), shared], of)
            for who, of in zip((world.inka, world.mara), taps, strict=True)
        ]
        for which, *how in sendings:
            devices[which].send(*how)
        for device in devices:
            device.send(0, len(device.made), lost=False)
        clashed = {str(ref) for ref in Clash.objects.values_list("ref", flat=True)}
        for device in devices:
            made = [one["ref"] for one in device.made]
            kept = Entry.objects.filter(ref__in=made).order_by("pk").values_list("ref", flat=True)
            logged = [str(ref) for ref in kept]
            assert Counter(logged) + Counter(clashed & set(made)) == Counter(made)
            assert logged == [ref for ref in made if ref not in clashed]
            assert device.own <= set(logged)
        assert not [line for verdict in verify() for line in verdict.differences]
        transaction.set_rollback(True)
