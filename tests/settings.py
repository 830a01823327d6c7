"""The production settings with what makes tests quick: cheap hashes, no hashed file names."""

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
