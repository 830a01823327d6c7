"""What nobody means to send, sent to every address: which answers are the server's own failures.

A view need not be known: whatever name it asks its GET or POST for, it is answered with a value
that no page of ours sends. What is unreadable in one field does not hide what is in the next, since
a form cleans each for itself.
"""

import random
from contextlib import contextmanager

from django.db import connection, transaction
from django.http import QueryDict
from django.test import Client
from django.urls import NoReverseMatch, URLPattern, get_resolver

from tests.conftest import forget

VALUES = (
    "foo", "foo:bar", "", " ", "\x00", "a\x00b", "\r\n", "%", "'", "\u202e", "\ufffe", "💥", "²",
    "-1", "0", "1.5", "-0.0", "nan", "-inf", "1e400", "1e-400", "1e9", "0x10", "1_000", "9" * 9,
    "9" * 12, "9" * 19, "-" + "9" * 25, "9" * 400, "9" * 5000, "x" * 70_000, "é" * 300, "٣",
    "0000-00-00", "0001-01-01", "9999-12-31", "2026-02-30", "0001-01", "0001-W01", "9999-W52",
    "0001-01-01T00:00", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "24:61",
    "1/0", "5'1/0", "9'" + "9" * 30, "1e99 mm", "2+99999999/3",
    "//[::1", "http://[", "/\\x", "javascript:x", "?", "#", "https://example.com/",
    "[" * 20_000, "{}", "[]", "null", "[[]]", '{"a": {"a": 1e999}}', '"\\ud800"', '[["\\ud800"]]',
)  # fmt: skip
HEADERS = ("HTTP_REFERER", "HTTP_HX_CURRENT_URL", "HTTP_ACCEPT_LANGUAGE", "HTTP_IF_NONE_MATCH",
           "HTTP_IF_MODIFIED_SINCE", "HTTP_RANGE", "HTTP_USER_AGENT")
# Parts of an address. In a number Django lets nothing but digits through.
_PARTS = {"int": (10**30, 0), "str": ("²", "x" * 3000, "\x00", "%")}


def patterns(entries=None):
    for entry in entries if entries is not None else get_resolver().url_patterns:
        if isinstance(entry, URLPattern):
            yield entry
        else:
            yield from patterns(entry.url_patterns)


class Hostile:
    """Sends as one person (or nobody), each request on the database as it was before.

    `failed` is {what failed, how and where: a request that did it}.
    """

    def __init__(self, person, *, seed: int):
        self.client = Client(raise_request_exception=False)
        if person is not None:
            self.client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
        self.cookies = dict(self.client.cookies)
        self.random = random.Random(seed)
        self.failed: dict[str, str] = {}

    def fields(self, address_of, only=None) -> None:
        """Nonsense in every field that is asked for, at every address."""
        for pattern in only or patterns():
            for method in ("get", "post"):
                with _answering(self.random) as said:
                    self._send(method, pattern, address_of(pattern), said)

    def parts(self, address_of) -> None:
        """Nonsense in each part of every address."""
        for pattern in patterns():
            for name, converter in pattern.pattern.converters.items():
                kind = "int" if type(converter).__name__.startswith("Int") else "str"
                for part in _PARTS[kind]:
                    try:
                        address = address_of(pattern, {name: part})
                    except NoReverseMatch:
                        continue
                    self._send("get", pattern, address, {name: part})

    def headers(self, address_of) -> None:
        for pattern in patterns():
            one = self.random.choice(VALUES).replace("\r", "").replace("\n", "")[:9000]
            said = dict.fromkeys(HEADERS, one)
            self._send(self.random.choice(("get", "post")), pattern, address_of(pattern), said,
                       **said)

    def _send(self, method, pattern, address, said, **headers) -> None:
        self.client.cookies.clear()
        self.client.cookies.update(self.cookies)
        with transaction.atomic():
            answer = getattr(self.client, method)(address, **headers)
            transaction.set_rollback(True)
        connection.needs_rollback = False
        forget()
        if answer.status_code >= 500:
            kind, error, trace = getattr(answer, "exc_info", None) or (None, None, None)
            how = f"{kind.__name__}: {str(error)[:120]}" if kind else ""
            where = f"{method} {pattern.name}: {answer.status_code} {how} at {_ours(trace)}"
            told = {name: str(value)[:30] for name, value in said.items()}
            self.failed.setdefault(where, f"{address[:120]} {told}")




def _ours(trace) -> str:
    """The last line of ours that a failure came through."""
    at = "?"
    while trace:
        file = trace.tb_frame.f_code.co_filename
        if "site-packages" not in file and any(f"/{app}/" in file for app in _APPS):
            at = f"{'/'.join(file.rsplit('/', 3)[1:])}:{trace.tb_lineno}"
        trace = trace.tb_next
    return at


_APPS = ("orders", "stages", "config")


@contextmanager
def _answering(chance: random.Random):
    """Every name that is asked for is there, nine times in ten, and is the same all through."""
    said: dict[str, str] = {}

    def value(self, key):
        if key not in said:
            said[key] = chance.choice(VALUES) if chance.random() < 0.9 else None
        if said[key] is None:
            raise KeyError(key)
        return said[key]

    def there(self, key):
        try:
            value(self, key)
        except KeyError:
            return False
        return True

    def values(self, key, default=None):
        return [value(self, key)] if there(self, key) else default if default is not None else []

    QueryDict.__getitem__, QueryDict.__contains__, QueryDict.getlist = value, there, values
    QueryDict.__bool__ = lambda self: True  # `request.POST or None`
    try:
        yield said
    finally:
        del QueryDict.__getitem__, QueryDict.__contains__, QueryDict.getlist, QueryDict.__bool__
