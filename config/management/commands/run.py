"""Starts Rackbound: prepares its data, loads the demo factory into an empty one, serves."""

import os
import socket
import sqlite3
import sys

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from config.authority import (
    NotOurs,
    authority_of,
    ensure_authority,
    ensure_certificate,
    fingerprint,
)
from config.checks import sqlite_is_mended
from config.lan import host_of, own_address

# One process, several threads: SQLite's writers then take turns in its memory (config/sqlite).
THREADS = 4


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--lan",
            action="store_true",
            help="serve to the shop's own network, not only this machine",
        )
        parser.add_argument("--empty", action="store_true", help="do not load the demo factory")
        parser.add_argument(
            "--tls",
            action="store_true",
            help="serve https with a certificate of the shop's own authority, made once",
        )
        parser.add_argument("--certificate", help="TLS certificate (PEM), with --key")
        parser.add_argument("--key", help="TLS private key (PEM)")

    def handle(self, *, port, lan, empty, tls, certificate, key, **options):
        if bool(certificate) != bool(key):
            raise CommandError("TLS needs both --certificate and --key.")
        if tls and certificate:
            raise CommandError("Either --tls, or a --certificate of your own with its --key.")
        host = "0.0.0.0" if lan else "127.0.0.1"
        door = port + 1 if tls else None
        for one in filter(None, [port, door]):
            self._check_port(host, one)
        address = self._address(lan=lan, port=port, tls=tls or bool(certificate))
        names = [host_of(address), "localhost", "127.0.0.1", *(_machine_names() if lan else [])]
        call_command("migrate", verbosity=0)
        call_command("collectstatic", interactive=False, verbosity=0)
        if tls:
            certificate, key = self._own_certificate(names)
        self._prepare(empty=empty, lan=lan)
        self._name_old_sqlite()
        self.stdout.write(f"\nRackbound is at {address}\n")
        if lan:
            self.stdout.write(f"How a phone or tablet gets in: {address}/connect/\n")
        self.stdout.write("Stop it with Ctrl-C. What was logged is kept.\n\n")
        self.stdout.flush()
        self._serve(host, port, address, names, certificate, key, door)

    def _own_certificate(self, names):
        now = timezone.now()
        known = authority_of(settings.TLS_DIR)
        authority = ensure_authority(
            settings.TLS_DIR, machine=socket.gethostname(), address=own_address(), now=now
        )
        try:
            served = ensure_certificate(settings.TLS_DIR, names=names, now=now)
        except NotOurs as error:
            raise CommandError(str(error)) from None
        if authority != known:
            self.stdout.write("\nThis shop has a new certificate authority. Its SHA-256 is:\n")
            self.stdout.write(f"  {fingerprint(authority)}\n")
        return str(served.certificate), str(served.key)

    def _check_port(self, host, port):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError:
                raise CommandError(
                    f"Port {port} is in use: is Rackbound running already? "
                    f"Stop that one, or choose another with --port {port + 1}."
                ) from None

    def _address(self, *, lan, port, tls):
        if address := os.environ.get("RACKBOUND_ADDRESS"):
            if tls and not address.startswith("https:"):
                raise CommandError(
                    f"RACKBOUND_ADDRESS is {address}: with TLS it must begin with https:, since "
                    "the square on every ticket leads there."
                )
            return address
        name = own_address() if lan else "localhost"
        return f"{'https' if tls else 'http'}://{name}:{port}"

    def _prepare(self, *, empty, lan):
        from orders.accounts.models import User
        from stages.defects.usual import ensure_defects
        from stages.demo.load import demo_sign_ins, load_demo
        from stages.routes.house import ensure_house_route

        if not empty and not User.objects.exists():
            self.stdout.write("Loading the demo factory, once ...")
            self.stdout.flush()
            load_demo(timezone.now())
        ensure_house_route()
        ensure_defects()
        if not User.objects.exists():
            self.stdout.write(
                "Nobody can sign in yet. Make the owner's sign-in with:\n"
                "  python3 manage.py createsuperuser\n"
            )
        sign_ins = [one for one in demo_sign_ins() if _opens(one)]
        if sign_ins:
            self.stdout.write("\nDemo sign-ins (role, name, password, PIN on a shared tablet):\n")
        for one in sign_ins:
            self.stdout.write(f"  {one.role:8} {one.username:6} {one.password}   {one.pin}\n")
        if sign_ins and lan:
            self.stdout.write(
                "Everybody who has Rackbound knows these: on a network, for looking "
                "around only, never for a real factory.\n"
            )

    def _name_old_sqlite(self):
        if "sqlite" in settings.DATABASES["default"]["ENGINE"] and not sqlite_is_mended(
            sqlite3.sqlite_version_info
        ):
            self.stdout.write(
                f"\nNote: this Python brings SQLite {sqlite3.sqlite_version}, which has a rare "
                "fault when two connections\ntidy its log at once (mended in 3.51.3, 3.50.7 and "
                "3.44.6). Keep backups, or use a newer Python.\n"
            )

    def _serve(self, host, port, address, names, certificate, key, door):
        environment = {
            **os.environ,
            "RACKBOUND_ADDRESS": address,
            "RACKBOUND_HOSTS": ",".join(sorted({*settings.ALLOWED_HOSTS, *names})),
            "RACKBOUND_KEEPER": "1",
        }
        if certificate:
            environment["RACKBOUND_HTTPS"] = "1"
        if door:
            environment["RACKBOUND_DOOR_HOST"] = host
            environment["RACKBOUND_DOOR_PORT"] = str(door)
        command = [
            sys.executable,
            *("-m", "granian", "config.wsgi:application"),
            *("--interface", "wsgi", "--host", host, "--port", str(port)),
            *("--workers", "1", "--blocking-threads", str(THREADS)),
            *("--no-ws", "--log-level", "warning", "--working-dir", str(settings.BASE_DIR)),
        ]
        if certificate:
            command += ["--ssl-certificate", certificate, "--ssl-keyfile", key]
        os.execve(sys.executable, command, environment)


def _opens(sign_in) -> bool:
    """A demo sign-in that is still there with its demo password."""
    from orders.accounts.models import User

    user = User.objects.filter(username=sign_in.username, is_active=True).first()
    return user is not None and user.check_password(sign_in.password)


def _machine_names() -> list[str]:
    """What this machine is called: on networks that know names, also with .local behind it."""
    name = socket.gethostname()
    return [name] if "." in name else [name, f"{name}.local"]
