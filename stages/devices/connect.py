"""How a phone gets in: the address it can reach, and what its browser will trust."""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings

from config.authority import authority_of, fingerprint
from config.door import PATH
from config.lan import host_of, is_this_machine
from orders.tickets.qr import svg_path


@dataclass(frozen=True)
class Square:
    """An address to point a phone at."""

    address: str
    path: str
    side: int

    @classmethod
    def of(cls, address: str) -> "Square":
        return cls(address, *svg_path(address))


@dataclass(frozen=True)
class Way:
    """The way in, as the server is run at present."""

    server: Square
    unreachable: bool  # only this machine itself could open it
    https: bool
    certificate: Square | None  # where a phone fetches the authority it must trust first
    fingerprint: list[str]  # in lines short enough for a phone
    ends_at: datetime | None


def way_in() -> Way:
    address = settings.PUBLIC_ADDRESS
    host = host_of(address)
    authority = authority_of(settings.TLS_DIR) if settings.HTTPS else None
    # Over plain http: the phone cannot trust our https before it has this.
    door = f"http://{host}:{settings.DOOR_PORT}" if settings.DOOR_PORT else address
    return Way(
        server=Square.of(f"{address}/"),
        unreachable=is_this_machine(host),
        https=settings.HTTPS,
        certificate=Square.of(door + PATH) if authority else None,
        fingerprint=_lines(fingerprint(authority)) if authority else [],
        ends_at=authority.not_valid_after_utc if authority else None,
    )


def _lines(pairs: str) -> list[str]:
    return [pairs[start : start + 23] for start in range(0, len(pairs), 24)]
