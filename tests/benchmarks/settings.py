"""The production settings as they are; only the addresses asked for are added."""

from config.settings import *  # noqa: F403

ALLOWED_HOSTS = ["127.0.0.1"]
