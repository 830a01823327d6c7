"""Starts Rackbound: prepares its data, loads the demo factory into an empty one, serves."""

import os
import socket
import sqlite3
import sys

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from config.checks import sqlite_is_mended

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
        parser.add_argument("--certificate", help="TLS certificate (PEM), with --key")
        parser.add_argument("--key", help="TLS private key (PEM)")

    def handle(self, *, port, lan, empty, certificate, key, **options):
        if bool(certificate) != bool(key):
            raise CommandError("TLS needs both --certificate and --key.")
        host = "0.0.0.0" if lan else "127.0.0.1"
        self._check_port(host, port)
        call_command("migrate", verbosity=0)
        call_command("collectstatic", interactive=False, verbosity=0)
        address = self._address(lan=lan, port=port, tls=bool(certificate))
        self._prepare(empty=empty, lan=lan)
        self._name_old_sqlite()
        self.stdout.write(f"\nRackbound is at {address}\n")
        self.stdout.write("Stop it with Ctrl-C. What was logged is kept.\n\n")
        self.stdout.flush()
        self._serve(host, port, address, certificate, key)

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
            return address
        name = _own_address() if lan else "localhost"
        return f"{'https' if tls else 'http'}://{name}:{port}"

    def _prepare(self, *, empty, lan):
        from orders.accounts.models import User
        from stages.demo.load import demo_sign_ins, load_demo
        from stages.routes.house import ensure_house_route

        if not empty and not User.objects.exists():
            self.stdout.write("Loading the demo factory, once ...")
            self.stdout.flush()
            load_demo(timezone.now())
        ensure_house_route()
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

    def _serve(self, host, port, address, certificate, key):
        name = address.split("//", 1)[1].rsplit(":", 1)[0]
        hosts = {*settings.ALLOWED_HOSTS, name}
        environment = {
            **os.environ,
            "RACKBOUND_ADDRESS": address,
            "RACKBOUND_HOSTS": ",".join(sorted(hosts)),
        }
        if certificate:
            environment["RACKBOUND_HTTPS"] = "1"
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


def _own_address() -> str:
    """The address by which this machine's network knows it; nothing is sent to find out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return socket.gethostname()
        return probe.getsockname()[0]
