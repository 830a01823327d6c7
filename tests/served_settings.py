"""The tests' settings for a server of its own, on the database that the test has made."""

import os

from tests.settings import *  # noqa: F403

DATABASES["default"]["NAME"] = os.environ["SERVED_DATABASE"]  # noqa: F405
