"""The production settings with what makes tests quick: cheap hashes, no hashed file names, and no
waiting for the disk. The tests kill processes, which loses nothing written; they cut no power."""

import os
from copy import deepcopy

from config.settings import *  # noqa: F403

# Runs and the parts of one, side by side, have databases of their own.
_RUN, _PART = (os.environ.get(f"RACKBOUND_TEST_{name}", "0") for name in ("RUN", "PART"))
NAMED = f"{_RUN}-{_PART}"

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
ALLOWED_HOSTS = ["*"]
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # noqa: F405
DATABASES = deepcopy(DATABASES)  # noqa: F405
if DATABASES["default"]["ENGINE"] == "config.sqlite":
    DATABASES["default"]["OPTIONS"]["init_command"] += "; PRAGMA synchronous=OFF"
    DATABASES["default"]["TEST"] = {"NAME": str(DATA_DIR / f"test-{NAMED}.sqlite3")}  # noqa: F405
else:
    DATABASES["default"]["TEST"] = {"NAME": f"test_rackbound_{NAMED.replace('-', '_')}"}
    DATABASES["default"]["OPTIONS"] = {"options": "-c synchronous_commit=off"}
