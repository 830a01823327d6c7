"""The smallest site that reads one row, inserts one and updates one: the measure for a scan."""

import os
from pathlib import Path

SECRET_KEY = "only for measuring"
DEBUG = False
ALLOWED_HOSTS = ["*"]
ROOT_URLCONF = "tests.benchmarks.bare.site"
INSTALLED_APPS = ["tests.benchmarks.bare"]
MIDDLEWARE = []
USE_TZ = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [Path(__file__).parent / "templates"],
    }
]
DATABASES = {
    "default": {
        "ENGINE": "config.sqlite",
        "NAME": Path(os.environ["RACKBOUND_DATA"]) / "bare.sqlite3",
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL",
        },
    }
}
