"""The production settings with what makes tests quick: cheap hashes, no hashed file names, and no
waiting for the disk. The tests kill processes, which loses nothing written; they cut no power."""

from copy import deepcopy

from config.settings import *  # noqa: F403

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
else:
    DATABASES["default"]["OPTIONS"] = {"options": "-c synchronous_commit=off"}
