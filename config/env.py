"""Typed readers of the environment that fail with a sentence."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def env_bool(name: str, *, default: bool = False) -> bool:
    value = os.environ.get(name, "").strip().lower()
    if value in {"", "0", "no", "false", "off"}:
        return default if value == "" else False
    if value in {"1", "yes", "true", "on"}:
        return True
    raise ImproperlyConfigured(f"{name} is {value!r}: write 1 or 0.")


def env_list(name: str, *, default: list[str]) -> list[str]:
    value = os.environ.get(name, "")
    return [part.strip() for part in value.split(",") if part.strip()] or default


def secret_key(path: Path) -> str:
    """The signing key: RACKBOUND_SECRET_KEY, or one made once and kept beside the data."""
    if key := os.environ.get("RACKBOUND_SECRET_KEY"):
        return key
    try:
        return path.read_text().strip()
    except FileNotFoundError:
        key = secrets.token_urlsafe(60)
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w") as file:
            file.write(key)
        return key
