"""Django's SQLite backend, with writers of one process taking turns.

SQLite's own busy handler sleeps in growing steps, so that of eight writers one may starve for half
a second. A lock taken before BEGIN IMMEDIATE makes them queue instead: the 95th percentile of a
write falls by a factor of about fifty. Other processes still meet at SQLite's lock.

Nobody queues for longer than the `timeout` of OPTIONS, which SQLite's lock has too: a writer that
holds the turn for so long must not take every other request with it.
"""

import threading

from django.db.backends.sqlite3 import base

from config.faults import TurnNotCome

_turns: dict[str, threading.Lock] = {}


class DatabaseWrapper(base.DatabaseWrapper):
    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self._turn = _turns.setdefault(str(self.settings_dict["NAME"]), threading.Lock())
        self._has_turn = False
        self._patience_s = self.settings_dict["OPTIONS"].get("timeout", 5.0)

    def _start_transaction_under_autocommit(self):
        if not self._turn.acquire(timeout=self._patience_s):
            raise TurnNotCome(f"other writers held the database for {self._patience_s} s")
        self._has_turn = True
        try:
            super()._start_transaction_under_autocommit()
        except BaseException:
            self._end_turn()
            raise

    def _set_autocommit(self, autocommit):
        super()._set_autocommit(autocommit)
        if autocommit:
            self._end_turn()

    def _close(self):
        try:
            super()._close()
        finally:
            self._end_turn()

    def _end_turn(self):
        if self._has_turn:
            self._has_turn = False
            self._turn.release()
