"""Serving the shop's own network over TLS: what is started, what a phone finds at the door."""

import os
import subprocess
import sys
import threading
import urllib.request
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from config.authority import authority_path
from config.door import make_door
from config.lan import is_private, is_this_machine
from config.management.commands import run

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def started(monkeypatch, settings, tmp_path, db):
    """What `run` would hand over to, with its environment."""
    settings.TLS_DIR = tmp_path / "tls"
    settings.STATIC_ROOT = tmp_path / "static"
    found = {}
    monkeypatch.delenv("RACKBOUND_ADDRESS", raising=False)
    monkeypatch.setattr(run, "own_address", lambda: "192.168.7.20")
    monkeypatch.setattr(
        os, "execve", lambda _, command, env: found.update(command=command, env=env)
    )
    return found


def test_one_command_serves_tls_to_the_shops_network(started, settings, capsys):
    call_command("run", "--lan", "--tls", "--empty", "--port", "18101")
    command, env = started["command"], started["env"]
    assert command[command.index("--ssl-certificate") + 1] == str(settings.TLS_DIR / "server.crt")
    assert Path(command[command.index("--ssl-keyfile") + 1]).exists()
    assert env["RACKBOUND_HTTPS"] == "1"
    assert env["RACKBOUND_ADDRESS"] == "https://192.168.7.20:18101"
    assert "192.168.7.20" in env["RACKBOUND_HOSTS"].split(",")
    assert env["RACKBOUND_DOOR_PORT"] == "18102"
    assert "Its SHA-256 is" in capsys.readouterr().out


def test_an_address_that_says_http_is_refused_with_tls(started, monkeypatch):
    monkeypatch.setenv("RACKBOUND_ADDRESS", "http://192.168.7.20:18101")
    with pytest.raises(CommandError, match="must begin with https:"):
        call_command("run", "--lan", "--tls", "--empty", "--port", "18101")


def test_without_tls_nothing_is_made(started, settings):
    call_command("run", "--lan", "--empty", "--port", "18101")
    assert "RACKBOUND_DOOR_PORT" not in started["env"]
    assert not settings.TLS_DIR.exists()


def test_the_authority_is_shown_and_made_anew_on_request(started, settings, capsys):
    call_command("local_authority", "--name", "192.168.7.20")
    first = authority_path(settings.TLS_DIR).read_bytes()
    call_command("local_authority", "--name", "192.168.7.20")
    assert authority_path(settings.TLS_DIR).read_bytes() == first
    assert "for        192.168.7.20, localhost" in capsys.readouterr().out
    call_command("local_authority", "--name", "192.168.7.20", "--new")
    assert authority_path(settings.TLS_DIR).read_bytes() != first


def test_the_door_gives_the_certificate_and_leads_everyone_else_in(tmp_path):
    certificate = tmp_path / "authority.crt"
    certificate.write_bytes(b"a certificate")
    door = make_door("127.0.0.1", 0, certificate, "https://192.168.7.20:8000")
    threading.Thread(target=door.serve_forever, daemon=True).start()
    at = f"http://127.0.0.1:{door.server_port}"
    try:
        answer = urllib.request.urlopen(f"{at}/authority.crt", timeout=5)
        assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
        assert answer.read() == b"a certificate"
        for path in ("/", "/authority.key", "/../authority.key"):
            with pytest.raises(urllib.error.HTTPError) as led:
                urllib.request.build_opener(Stays).open(at + path, timeout=5)
            assert led.value.code == 302
            assert led.value.headers["Location"] == "https://192.168.7.20:8000/"
    finally:
        door.shutdown()
        door.server_close()


class Stays(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args):
        return None


@pytest.mark.parametrize(
    ("host", "private"),
    [
        *[(name, True) for name in ("192.168.1.9", "10.0.0.1", "shop-pc", "shop-pc.local")],
        *[(name, True) for name in ("boards.lan", "rack.home.arpa", "localhost", "fd00::1")],
        *[(name, False) for name in ("boards.example", "8.8.8.8", "local.example")],
    ],
)
def test_which_addresses_are_the_shops_own(host, private):
    assert is_private(host) == private


def test_only_this_machine_means_anything_by_localhost():
    assert is_this_machine("localhost")
    assert is_this_machine("127.0.0.1")
    assert not is_this_machine("192.168.1.9")


@pytest.mark.parametrize(
    ("address", "header"),
    [
        ("https://192.168.7.20:8000", None),
        ("https://shop-pc.local:8000", None),
        ("https://boards.example", "max-age=31536000"),
    ],
)
def test_only_a_public_name_is_bound_to_https(address, header, tmp_path):
    """And never the names beside it, nor the lists that browsers are built with."""
    asked = (
        "from django.http import HttpResponse\n"
        "from django.middleware.security import SecurityMiddleware\n"
        "from django.test import RequestFactory\n"
        "request = RequestFactory().get('/', secure=True)\n"
        "answer = SecurityMiddleware(lambda _: HttpResponse())(request)\n"
        "print(answer.get('Strict-Transport-Security'))"
    )
    answer = subprocess.run(
        [sys.executable, "-c", asked],
        cwd=ROOT,
        capture_output=True,
        text=True,
        env={
            "PATH": "/usr/bin:/bin",
            "RACKBOUND_HTTPS": "1",
            "RACKBOUND_ADDRESS": address,
            "RACKBOUND_HOSTS": "any.example",
            "RACKBOUND_DATA": str(tmp_path),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        },
    )
    assert answer.stdout.strip() == str(header), answer.stderr
