"""Settings. Everything a factory may change is read from the environment, here and nowhere else."""

import os
from pathlib import Path

from config.env import env_bool, env_list, secret_key
from config.lan import host_of, is_private
from config.security import CONTENT_SECURITY_POLICY, PERMISSIONS_POLICY  # noqa: F401

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("RACKBOUND_DATA", BASE_DIR / ".data"))
DATA_DIR.mkdir(parents=True, exist_ok=True)

DEBUG = False
SECRET_KEY = secret_key(DATA_DIR / "secret_key")
ALLOWED_HOSTS = env_list("RACKBOUND_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
# True when phones reach Rackbound over TLS, which the camera needs. Plain http still works without.
HTTPS = env_bool("RACKBOUND_HTTPS")
# The address printed in the QR of every ticket: what the phones in the bays can reach.
PUBLIC_ADDRESS = os.environ.get("RACKBOUND_ADDRESS", "http://localhost:8000").rstrip("/")
CSRF_TRUSTED_ORIGINS = [PUBLIC_ADDRESS]
# Where the shop's own certificate authority is kept, and the plain-http door that hands it out.
TLS_DIR = DATA_DIR / "tls"
DOOR_PORT = os.environ.get("RACKBOUND_DOOR_PORT")
# Whether this server has the keeper of the forecast run beside it (manage.py keep_forecast).
KEEPER = env_bool("RACKBOUND_KEEPER")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "django_htmx",
    "template_partials",
    "config",
    "orders",
    "stages",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django_permissions_policy.PermissionsPolicyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "config.crafted_values.refuse_crafted_values",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "orders.factory.context.factory",
            ],
            "builtins": ["orders.templatetags.trade"],
        },
    }
]
# Django's own widgets: the order form has three hundred of them, and is drawn in a third less time.
FORM_RENDERER = "django.forms.renderers.Jinja2"

if dsn := os.environ.get("RACKBOUND_DATABASE"):
    from psycopg.conninfo import conninfo_to_dict

    parts = conninfo_to_dict(dsn)
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.postgresql",
            "NAME": parts.get("dbname", ""),
            "USER": parts.get("user", ""),
            "PASSWORD": parts.get("password", ""),
            "HOST": parts.get("host", ""),
            "PORT": parts.get("port", ""),
            "CONN_MAX_AGE": None,
        }
    }
    # Several processes may serve: a sign-out in one must be seen by all, so sessions are read
    # from the database.
    SESSION_ENGINE = "django.contrib.sessions.backends.db"
else:
    DATABASES = {
        "default": {
            "ENGINE": "config.sqlite",
            "NAME": DATA_DIR / "rackbound.sqlite3",
            "CONN_MAX_AGE": None,
            "OPTIONS": {
                "transaction_mode": "IMMEDIATE",
                # Seconds at most in the queue of writers, and as many at SQLite's lock: together
                # less than the twenty after which a device calls its sending off.
                "timeout": 8,
                # synchronous FULL: what a screen called logged survives the power going off.
                "init_command": (
                    "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-20000; "
                    "PRAGMA temp_store=MEMORY; PRAGMA journal_size_limit=67108864"
                ),
            },
            # A file, so that threads share one test database as they do in the shop.
            "TEST": {"NAME": DATA_DIR / "test.sqlite3"},
        }
    }
    # One process serves from SQLite, so its memory may answer for the session table.
    SESSION_ENGINE = "django.contrib.sessions.backends.cached_db"

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

AUTH_USER_MODEL = "orders.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "orders.accounts.backends.PasswordBackend",
    "orders.accounts.backends.PinBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "orders/accounts/locked_out.html"
AXES_VERBOSE = False

SESSION_COOKIE_AGE = 60 * 60 * 24 * 60  # a phone of one's own stays signed in
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
if HTTPS:
    SESSION_COOKIE_NAME = "__Host-session"
    CSRF_COOKIE_NAME = "__Host-csrf"
    SECURE_SSL_REDIRECT = True
    # A public name stays https in browsers that saw it once. An address of the shop's own network
    # does not: the day it goes back to plain http, the phones must still get in. Neighbouring names
    # and browsers' built-in lists are for the owner of the name to bind, not for us.
    SECURE_HSTS_SECONDS = 31_536_000
    SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
    if is_private(host_of(PUBLIC_ADDRESS)):
        SECURE_HSTS_SECONDS = 0
        SILENCED_SYSTEM_CHECKS += ["security.W004"]
    if env_bool("RACKBOUND_BEHIND_PROXY"):
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "orders.accounts.views.form_expired"
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 600

LANGUAGE_CODE = "en"
USE_I18N = False
TIME_ZONE = "UTC"  # the factory's own zone is used where people read
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]  # ours alone
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "config.static.HashedStaticFilesStorage"},
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "loggers": {
        "django": {"handlers": ["console"], "level": "WARNING"},
        "axes": {"handlers": ["console"], "level": "ERROR"},
    },
}
