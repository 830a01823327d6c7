"""A plain-http door beside the https server: the authority's certificate, and the way in.

A phone cannot fetch over https the certificate that would make it trust that https. The door runs
in a thread of the server's own process, so that it opens and closes with it.
"""

import os
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

from django.conf import settings

from config.authority import authority_path

PATH = "/authority.crt"
CONTENT_TYPE = "application/x-x509-ca-cert"


def open_door_if_asked() -> None:
    """As `run --tls` asks by the environment; nothing otherwise."""
    if settings.DOOR_PORT:
        host = os.environ.get("RACKBOUND_DOOR_HOST", "127.0.0.1")
        path = authority_path(settings.TLS_DIR)
        server = make_door(host, int(settings.DOOR_PORT), path, settings.PUBLIC_ADDRESS)
        threading.Thread(target=server.serve_forever, name="door", daemon=True).start()


def make_door(host: str, port: int, certificate: Path, address: str) -> HTTPServer:
    class Door(BaseHTTPRequestHandler):
        timeout = 5  # one at a time: nobody may stand in it
        server_version, sys_version = "door", ""

        def do_GET(self):
            if self.path != PATH:
                self.send_response(302)
                self.send_header("Location", f"{address}/")
                self.send_header("Content-Length", "0")
                self.end_headers()
                return
            content = certificate.read_bytes()
            self.send_response(200)
            self.send_header("Content-Type", CONTENT_TYPE)
            self.send_header("Content-Disposition", 'attachment; filename="authority.crt"')
            self.send_header("Content-Length", str(len(content)))
            self.send_header("Cache-Control", "no-store")
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *args):
            pass

    return HTTPServer((host, port), Door)
