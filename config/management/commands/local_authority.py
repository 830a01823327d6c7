"""Shows the shop's own certificate authority, making it if there is none; --new makes another.

`run --tls` uses it by itself. Another server in front of Rackbound can serve the files named here.
"""

import socket

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from config.authority import (
    NotOurs,
    authority_path,
    ensure_authority,
    ensure_certificate,
    fingerprint,
)
from config.lan import own_address


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument(
            "--new",
            action="store_true",
            help="forget the present one: every phone must then trust the new one again",
        )
        parser.add_argument("--name", help="the address or name that the phones use")

    def handle(self, *, new, name, **options):
        folder, now = settings.TLS_DIR, timezone.now()
        if new:
            authority_path(folder).unlink(missing_ok=True)
        machine, address = socket.gethostname(), own_address()
        authority = ensure_authority(folder, machine=machine, address=address, now=now)
        names = [name or address, "localhost", "127.0.0.1", machine]
        try:
            served = ensure_certificate(folder, names=names, now=now)
        except NotOurs as error:
            raise CommandError(str(error)) from None
        self.stdout.write(
            f"Authority    {authority_path(folder)}\n"
            f"  SHA-256    {fingerprint(authority)}\n"
            f"  ends       {authority.not_valid_after_utc:%Y-%m-%d}\n"
            f"Certificate  {served.certificate}\n"
            f"  key        {served.key}\n"
            f"  for        {', '.join(served.names)}\n"
            f"  ends       {served.ends_at:%Y-%m-%d}\n"
        )
