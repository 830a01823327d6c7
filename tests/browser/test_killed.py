"""No signal, the browser killed, the server killed while it takes things in: each entry once.

The long form of this is the benchmark `outbox`.
"""

import os
import random

import pytest

from stages.log.models import Entry
from stages.log.verify import verify
from stages.outbox.models import Clash
from tests.browser.pocket import Phone, kill_server_while_sending, send_the_rest
from tests.served import beside_the_tests

pytestmark = pytest.mark.browser
BOARDS, TAPS = 2, 4



@pytest.fixture
def open_phone(chromium, shop, tmp_path):
    """`open_phone("inka", server)`: signed in, some boards of her own kept for no signal."""
    made = []

    def one(username, server):
        boards = [shop.released() for _ in range(BOARDS)]
        phone = Phone(
            chromium.browser_type,
            os.environ["RACKBOUND_BROWSER"],
            tmp_path / username,
            server.url,
        )
        made.append(phone)
        codes = [board.tickets.get().code for board in boards]
        phone.sign_in(username, codes)
        phone.without_signal(True)
        return phone, codes

    yield one
    for phone in made:
        phone.close()


def test_what_is_logged_without_signal_survives_the_browser_and_the_server(open_phone):
    chance = random.Random(24)
    with beside_the_tests() as server:
        devices = [open_phone(who, server) for who in ("inka", "mara")]
        phones = [phone for phone, _ in devices]
        for phone, codes in devices:
            for code in codes[:-1]:
                phone.work(code, TAPS)
        phones[0].kill()
        phones[0].open()
        phones[1].page.reload()
        for phone, codes in devices:
            phone.work(codes[-1], TAPS)
            assert len(phone.made) == BOARDS * TAPS
            assert phone.kept() == phone.made
        kills = [
            kill_server_while_sending(server, phones, entries=Entry.objects.count, chance=chance)
            for _ in range(2)
        ]
        assert any(kills), "the server was never killed in the middle"
        send_the_rest(phones)
    assert not Clash.objects.exists()
    for phone in phones:
        logged = Entry.objects.filter(ref__in=phone.made).order_by("pk")
        assert [str(ref) for ref in logged.values_list("ref", flat=True)] == phone.made
    assert Entry.objects.exclude(kind="released").count() == 2 * BOARDS * TAPS
    assert not [line for verdict in verify() for line in verdict.differences]
