"""The keeper of the forecast beside the server: a process that begins and ends with it."""

import subprocess
import sys

from django.conf import settings


def start_keeper_if_asked() -> subprocess.Popen | None:
    """As `run` asks by the environment; nothing otherwise. The pipe closes with this process,
    however it ends, and the keeper ends with the pipe."""
    if not settings.KEEPER:
        return None
    return subprocess.Popen(
        [sys.executable, "-m", "django", "keep_forecast", "--while-open"],
        stdin=subprocess.PIPE,
        cwd=settings.BASE_DIR,
    )
