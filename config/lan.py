"""Names and addresses of the shop's own network. Standard library only."""

import ipaddress
import socket
from urllib.parse import urlsplit

# Endings that no public name has: RFC 6761, RFC 6762, RFC 8375, and what routers give out.
PRIVATE_ENDINGS = ("localhost", "local", "home.arpa", "internal", "lan")


def own_address() -> str:
    """The address by which this machine's network knows it; nothing is sent to find out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return socket.gethostname()
        return probe.getsockname()[0]


def host_of(address: str) -> str:
    """The name or number in an address such as https://192.168.1.20:8000."""
    return urlsplit(address).hostname or ""


def is_private(host: str) -> bool:
    """Whether a host is of a network of one's own, which no public authority vouches for."""
    try:
        return ipaddress.ip_address(host).is_private
    except ValueError:
        name = host.lower().rstrip(".")
        return "." not in name or name.endswith(tuple(f".{end}" for end in PRIVATE_ENDINGS))


def is_this_machine(host: str) -> bool:
    """Whether only this machine itself can mean anything by it."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")
