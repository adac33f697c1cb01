"""Settings, read from the environment; every default is safe on one machine.

DATABASE_URL             sqlite file under .data/ unless set; postgres://... for several people
REPLICA_URL              a read replica of it, for reads of the catalogue (see shop.replicas); none unless set
TALLYBORE_PREPARED       false behind a pooler in transaction mode (see `prepared`); true unless set
TALLYBORE_REPLICA_LAG    for how many seconds who has just saved something reads the primary; 10 unless set
TALLYBORE_SECRET_KEY     generated once and kept in .data/ unless set
TALLYBORE_HOSTS          comma-separated host names; loopback only unless set
TALLYBORE_HTTPS          true behind TLS: secure cookies, HSTS, redirect
TALLYBORE_DEBUG          true for a developer only
"""

import os
import secrets
from datetime import timedelta
from pathlib import Path
from typing import Any

import environ
from csp.constants import NONE, SELF

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("TALLYBORE_DATA", BASE_DIR / ".data"))
env = environ.Env()


def local_secret() -> str:
    """The signing key of this installation, made on first use, readable by its owner only."""
    DATA_DIR.mkdir(parents=True, exist_ok=True)
    path = DATA_DIR / "secret-key"
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii").strip()
    key = secrets.token_urlsafe(50)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(key)
    return key


DEBUG = env.bool("TALLYBORE_DEBUG", default=False)
SECRET_KEY = env.str("TALLYBORE_SECRET_KEY", default="") or local_secret()
ALLOWED_HOSTS = env.list("TALLYBORE_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
HTTPS = env.bool("TALLYBORE_HTTPS", default=False)

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "knox",
    "axes",
    "csp",
    "django_htmx",
    "shop",
    "catalog",
    "estimates",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "shop.replicas.CatalogueReads",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "estimates.middleware.ClosedJobs",
    "axes.middleware.AxesMiddleware",  # last: it turns a locked-out sign-in into its answer
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
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
            ],
        },
    }
]


def prepared() -> dict[str, Any]:
    """PostgreSQL plans a statement that comes again only once per connection, which is most of its time.

    The third time a connection sends a statement it is kept prepared on the server. A pooler that hands a
    connection to somebody else after every transaction knows nothing of that: unless it carries prepared
    statements along itself, statements fail there as unknown or as already present. Turn it off then.
    """
    if not env.bool("TALLYBORE_PREPARED", default=True):
        return {}
    return {"server_side_binding": True, "prepare_threshold": 2}


def database() -> dict[str, Any]:
    """The one database of this process, with the options each engine needs."""
    DATA_DIR.mkdir(parents=True, exist_ok=True)
    config: dict[str, Any] = env.db("DATABASE_URL", default=f"sqlite:///{DATA_DIR / 'tallybore.sqlite3'}")
    if config["ENGINE"].endswith("sqlite3"):
        config["OPTIONS"] = {
            # Writers queue from the start of a transaction: a read that becomes a write would fail at once.
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA cache_size=-20000;",
        }
    else:
        config["OPTIONS"] = {**prepared(), **config.get("OPTIONS", {})}
        config["CONN_HEALTH_CHECKS"] = True
    # Kept from one request to the next: opening one costs more than most questions, on SQLite too, where what
    # was read and prepared before is lost with it.
    config["CONN_MAX_AGE"] = env.int("TALLYBORE_CONNECTION_AGE", default=60)
    return config


def replica() -> dict[str, Any]:
    """The read replica: it is given up quickly when it does not answer, and never written to."""
    config: dict[str, Any] = env.db("REPLICA_URL")
    config["TEST"] = {"MIRROR": "default"}
    if config["ENGINE"].endswith("sqlite3"):
        config["OPTIONS"] = {"init_command": "PRAGMA query_only=ON; PRAGMA cache_size=-20000;"}
    else:
        config["OPTIONS"] = {"connect_timeout": 3, **prepared(), **config.get("OPTIONS", {})}
        config["CONN_HEALTH_CHECKS"] = True
    config["CONN_MAX_AGE"] = env.int("TALLYBORE_CONNECTION_AGE", default=60)
    return config


DATABASES = {"default": database()}
if env.str("REPLICA_URL", default=""):
    DATABASES["replica"] = replica()
    DATABASE_ROUTERS = ["shop.replicas.CatalogueRouter"]
REPLICA_LAG = env.int("TALLYBORE_REPLICA_LAG", default=10)
# SQLite ignores the extra columns of a covering index; PostgreSQL uses them.
SILENCED_SYSTEM_CHECKS = ["models.W040"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",  # first: a locked-out name never reaches a password check
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("UserAttributeSimilarityValidator", "MinimumLengthValidator", "CommonPasswordValidator")
]
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "registration/locked.html"
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "jobs"
LOGOUT_REDIRECT_URL = "sign-in"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = env.str("TALLYBORE_TIME_ZONE", default="UTC")
USE_I18N = False
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
# The finders serve the files straight from the apps: no collecting step between a clone and a page.
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "shop.api.tokens.Tokens",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_CONTENT_NEGOTIATION_CLASS": "shop.api.negotiation.ByAccept",
    "URL_FORMAT_OVERRIDE": None,
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_PAGINATION_CLASS": "shop.api.pagination.KeyPagination",
    "EXCEPTION_HANDLER": "shop.api.problems.problem_response",
    "COERCE_DECIMAL_TO_STRING": True,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
REST_KNOX = {"TOKEN_TTL": timedelta(days=365), "AUTO_REFRESH": False}
SPECTACULAR_SETTINGS = {
    "TITLE": "Tallybore",
    "DESCRIPTION": "Engine families, parts, fitment, specs, offers, jobs and estimates of one workshop.",
    "VERSION": "1.0.0",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SCHEMA_PATH_PREFIX": r"/api/v1",
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "shop.api.schema.document_problems",
        "shop.api.document_lists.document_lists",
        "shop.api.schema.pattern_decimals",
    ],
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
}
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "loggers": {
        "axes": {"level": "WARNING"},
        "weasyprint": {"level": "ERROR"},
        "fontTools": {"level": "ERROR"},
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
}
