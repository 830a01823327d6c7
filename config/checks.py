"""Mistakes of configuration, told before anything is served: each with an id and a hint."""

from django.conf import settings
from django.core.checks import Error, Warning, register

from config.lan import host_of, is_this_machine

# Up to 3.51.2 two connections that reset the write-ahead log at once could lose a commit; mended
# in 3.51.3 and carried back to 3.50.7 and 3.44.6 (sqlite.org/changes.html).
_MENDED = {(3, 44): 6, (3, 50): 7, (3, 51): 3}


def sqlite_is_mended(version: tuple[int, int, int]) -> bool:
    least = _MENDED.get(version[:2])
    if least is not None:
        return version[2] >= least
    return version >= (3, 52)


@register()
def utc_inside(app_configs, **kwargs):
    if settings.TIME_ZONE == "UTC" and settings.USE_TZ:
        return []
    return [
        Error(
            "Times must be UTC inside.",
            hint="Set TIME_ZONE to UTC; the factory's own zone is on its set-up page.",
            id="config.E001",
        )
    ]


@register()
def sqlite_keeps_what_it_acknowledged(app_configs, **kwargs):
    database = settings.DATABASES["default"]
    if database["ENGINE"] != "config.sqlite":
        return []
    pragmas = database["OPTIONS"].get("init_command", "").replace(" ", "").lower()
    found = []
    if "synchronous=full" not in pragmas or "journal_mode=wal" not in pragmas:
        found.append(
            Error(
                "SQLite may forget what a screen called logged.",
                hint="Keep journal_mode=WAL and synchronous=FULL in the connection's init_command.",
                id="config.E002",
            )
        )
    if database["OPTIONS"].get("transaction_mode") != "IMMEDIATE":
        found.append(
            Error(
                "SQLite's writers would fail instead of taking turns.",
                hint="Keep transaction_mode IMMEDIATE.",
                id="config.E003",
            )
        )
    return found


@register(deploy=True)
def address_is_reachable(app_configs, **kwargs):
    if not is_this_machine(host_of(settings.PUBLIC_ADDRESS)):
        return []
    return [
        Warning(
            "The QR on every ticket would lead to localhost, which no phone can reach.",
            hint="Set RACKBOUND_ADDRESS to the address by which the phones reach this machine.",
            id="config.W004",
        )
    ]
