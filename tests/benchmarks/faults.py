"""Faults put into a copy of the code one at a time: the short form must catch each.

Of the short form only the files that should notice are run, first on sound code and then with each
fault. A fault whose line is no longer in the code fails the benchmark: name another.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from config.bootstrap import ROOT, VENV
from tests.benchmarks.report import Check
from tests.suite.chromium import find_chromium
from tests.suite.postgresql import find_postgresql

_LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__")
MIGRATIONS = "makemigrations"  # not a test: what the rules ask of the models
_NO_TESTS_RAN = 5


@dataclass(frozen=True)
class Fault:
    """`sound` stands once in the file at `path` and becomes `faulty`; `caught_by` is run."""

    what: str
    path: str
    sound: str
    faulty: str
    caught_by: str
    postgresql: bool = False


FAULTS = [
    Fault(
        "a guard dropped",
        "stages/log/guards.py",
        "if facts.role not in _MANAGERS and facts.skills and step.stage not in facts.skills:",
        "if False:",
        "tests/stages/log/test_guards.py",
    ),
    Fault(
        "a guard that too many may pass",
        "stages/log/guards.py",
        '"no_skill": _MANAGERS,',
        '"no_skill": _CREW | _MANAGERS,',
        "tests/stages/log/test_guards.py",
    ),
    Fault(
        "a guard that differs on the device",
        "static/js/scan/guards.js",
        "bay !== stage_bay)",
        "bay === stage_bay)",
        "tests/browser/test_device_fold.py",
    ),
    Fault(
        "a coat that rests for a shorter time in the cold",
        "stages/log/rest.py",
        "2 ** (colder / _DOUBLES_EVERY_C)",
        "2 ** (-colder / _DOUBLES_EVERY_C)",
        "tests/stages/log/test_rest.py",
    ),
    Fault(
        "an entry sent again that is logged again",
        "stages/log/record.py",
        "kept = Entry.objects.filter(ref=entry.ref).first()",
        "kept = None",
        "tests/stages/scan/test_scan.py",
    ),
    Fault(
        "an outbox that keeps sending what the server has",
        "static/js/scan/outbox.js",
        'TAKEN = new Set(["accepted", "duplicate"])',
        'TAKEN = new Set(["duplicate"])',
        "tests/browser/test_bay.py",
    ),
    Fault(
        "an outbox that gives an entry another id at each sending",
        "static/js/scan/outbox.js",
        "Object.fromEntries(SENT.map((name) => [name, intent[name]])),",
        "Object.fromEntries(SENT.map((name) => [name, intent[name]])), ref: crypto.randomUUID(),",
        "tests/browser/test_offline.py",
    ),
    Fault(
        "a log that can be rewritten",
        "orders/append_only.py",
        "add_triggers(schema_editor.connection, table)\n\n    def backwards",
        "pass\n\n    def backwards",
        "tests/stages/test_verify_log.py",
    ),
    Fault(
        "a view with a role too many",
        "stages/crew/views.py",
        "@allow(MANAGERS)\n@require_http_methods",
        "@allow(MANAGERS | {'crew'})\n@require_http_methods",
        "tests/architecture/test_access.py",
    ),
    Fault(
        "roles that nobody asks about",
        "orders/accounts/access.py",
        "if request.user.role not in roles:",
        "if False:",
        "tests/architecture/test_access.py",
    ),
    Fault(
        "words of a customer that are not escaped",
        "templates/orders/rides/note.html",
        "{{ note.words }}</blockquote>",
        "{{ note.words|safe }}</blockquote>",
        "tests/orders/rides/test_ride_notes.py",
    ),
    Fault(
        "pages without their policy",
        "config/settings.py",
        '    "csp.middleware.CSPMiddleware",\n',
        "",
        "tests/orders/test_security.py",
    ),
    Fault(
        "passwords that may be guessed for ever",
        "config/settings.py",
        "AXES_FAILURE_LIMIT = 6",
        "AXES_FAILURE_LIMIT = 6_000",
        "tests/orders/test_security.py",
    ),
    Fault(
        "an index forgotten in the models",
        "stages/log/models.py",
        '            models.Index(fields=["released_at"]),\n',
        "",
        MIGRATIONS,
    ),
    Fault(
        "a migration missing",
        "stages/migrations/0009_clash_counted_as_done.py",
        "operations = [",
        "operations = [][:0] and [",
        MIGRATIONS,
    ),
    Fault(
        "a row read without its lock",
        "orders/orderbook/models.py",
        "from_queryset=Board.objects.select_for_update()",
        "from_queryset=Board.objects.all()",
        "tests/orders/blanks/test_two_counters.py",
        postgresql=True,
    ),
    Fault(
        "writers that do not take turns",
        "config/sqlite/base.py",
        "if not self._turn.acquire(timeout=self._patience_s):",
        "if False:",
        "tests/config/test_sqlite_turns.py",
    ),
    Fault(
        "an inch of another length",
        "orders/shape/units.py",
        "25_400_000",
        "25_390_000",
        "tests/orders/test_units.py",
    ),
    Fault(
        "a ticket code taken unchecked",
        "orders/tickets/code.py",
        "if not mod_37_2.is_valid(code):",
        "if False:",
        "tests/orders/test_ticket_code.py",
    ),
    Fault(
        "an edit that puts back what somebody else changed",
        "orders/merging/merge.py",
        "merged.values[name] = kept",
        "pass",
        "tests/orders/merging",
    ),
    Fault(
        "a dose far off its ratio that passes",
        "orders/glassing/judgement.py",
        "RATIO_TOLERANCE = 0.1",
        "RATIO_TOLERANCE = 0.9",
        "tests/orders/glassing/test_judgement.py",
    ),
    Fault(
        "a query for each row",
        "orders/orderbook/queries.py",
        '"order__customer", "spec__design_version__design", "remake_of", "remade_as"\n    )',
        '"remade_as"\n    )',
        "tests/orders/test_orders_pages.py",
    ),
]


def measure(folder: Path) -> Iterator[Check]:
    copy = folder / "copy"
    shutil.copytree(ROOT, copy, ignore=_LEFT_OUT)
    (copy / ".venv").symlink_to(VENV)
    dsn = find_postgresql()
    asked = [fault for fault in FAULTS if dsn or not fault.postgresql]
    sound = {(fault.caught_by, fault.postgresql) for fault in asked}
    failing = [tests for tests, on in sorted(sound) if _fails(copy, tests, dsn if on else None)]
    yield Check("files that fail on sound code", len(failing), 0, ", ".join(failing))
    slipped = [fault.what for fault in asked if not _is_caught(copy, fault, dsn)]
    detail = f"of {len(asked)} put in" + "".join(f"; {what}" for what in slipped)
    if len(asked) < len(FAULTS):
        detail += f"; {len(FAULTS) - len(asked)} not tried, as no PostgreSQL answers"
    yield Check("faults that slip through", len(slipped), 0, detail)


def _is_caught(copy: Path, fault: Fault, dsn: str | None) -> bool:
    path = copy / fault.path
    before = path.read_text()
    if fault.sound not in before:
        raise LookupError(f"{fault.path} no longer holds {fault.sound!r}: name another fault.")
    path.write_text(before.replace(fault.sound, fault.faulty, 1))
    try:
        return _fails(copy, fault.caught_by, dsn if fault.postgresql else None)
    finally:
        path.write_text(before)


def _fails(copy: Path, tests: str, dsn: str | None) -> bool:
    """Whether `tests` of the short form fail in `copy`, each time with a database made anew."""
    environment = {
        **os.environ,
        "RACKBOUND_DATA": str(copy / ".data"),
        "RACKBOUND_BROWSER": find_chromium()[0] or "",
        "DJANGO_SETTINGS_MODULE": "config.settings" if tests == MIGRATIONS else "tests.settings",
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    if dsn:
        environment["RACKBOUND_DATABASE"] = dsn
    command = [sys.executable, "-m", "pytest", "-qx", "-m", "not long", tests]
    if tests == MIGRATIONS:
        command = [sys.executable, "manage.py", MIGRATIONS, "--check"]
    run = subprocess.run(command, cwd=copy, env=environment, capture_output=True, text=True)
    if run.returncode == _NO_TESTS_RAN:
        raise LookupError(f"No test ran in {tests}.")
    return run.returncode != 0
