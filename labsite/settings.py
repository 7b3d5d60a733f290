"""Django's settings; whatever differs between machines comes from `environment`."""

import os
from importlib.resources import files
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF

from labsite.environment import read_environment

ENVIRONMENT = read_environment(os.environ)

DEBUG = ENVIRONMENT.debug
SECRET_KEY = ENVIRONMENT.secret_key
ALLOWED_HOSTS = list(ENVIRONMENT.allowed_hosts)
ROOT_URLCONF = "labsite.urls"
WSGI_APPLICATION = "labsite.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "results",
    "api",
    "frontend",
]
MIDDLEWARE = [
    # Outermost, so that a refusal by any of the others has its line as well.
    "labsite.trail.RequestTrail",
    "django.middleware.security.SecurityMiddleware",
    # A phone in a basement waits for bytes; Django pads what it compresses, so that
    # lengths tell nothing of secrets.
    "django.middleware.gzip.GZipMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "labsite.languages.ReadersLanguage",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ]
        },
    }
]


def _database() -> dict[str, Any]:
    database: dict[str, Any] = dict(
        dj_database_url.parse(
            ENVIRONMENT.database_url, conn_max_age=60, conn_health_checks=True
        )
    )
    if database["ENGINE"] == "django.db.backends.sqlite3":
        Path(database["NAME"]).parent.mkdir(parents=True, exist_ok=True)
        # A transaction that may write takes the lock at its start: taken later,
        # SQLite refuses it at once instead of waiting for the other writer.
        database["OPTIONS"] = {
            "transaction_mode": "IMMEDIATE",
            "init_command": "PRAGMA journal_mode=WAL;",
            "timeout": 20,
        }
    return database


DATABASES = {"default": _database()}
CACHES = {
    # Sign-in attempts are counted here; every web process must see one count.
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "benchwide_cache",
    }
}

# The first makes them; what another one made is made anew as its owner signs in.
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "staff-sign-in"
LOGIN_REDIRECT_URL = "staff-home"
LOGOUT_REDIRECT_URL = "home"
SIGN_ON = ENVIRONMENT.sign_on

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LOCALE_PATHS = [Path(__file__).resolve().parent / "locale"]
FORMAT_MODULE_PATH = ["labsite.formats"]
LANGUAGE_COOKIE_NAME = "language"
LANGUAGE_COOKIE_AGE = 365 * 24 * 3600
LANGUAGE_COOKIE_HTTPONLY = True
LANGUAGE_COOKIE_SAMESITE = "Lax"
LANGUAGE_COOKIE_SECURE = ENVIRONMENT.https_only
TIME_ZONE = ENVIRONMENT.time_zone
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = ENVIRONMENT.data_folder / "static"
# Empty until collectstatic; the server of static files warns of a missing folder.
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
STATICFILES_DIRS = [("plotly", str(files("plotly") / "package_data"))]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "frontend.static_files.VersionedStaticFiles"},
}
WHITENOISE_USE_FINDERS = True
WHITENOISE_MAX_AGE = 3600

SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = ENVIRONMENT.https_only
SECURE_SSL_REDIRECT = ENVIRONMENT.https_only
# Whoever asks whether the service lives asks from inside, past the proxy.
SECURE_REDIRECT_EXEMPT = [r"^health/"]
SECURE_HSTS_SECONDS = 31_536_000 if ENVIRONMENT.https_only else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = ENVIRONMENT.https_only
if ENVIRONMENT.trusted_proxies:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
# A whole section's table is well under this; a larger body is a mistake.
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

CELERY_BROKER_URL = (
    "filesystem://localhost/"
    if ENVIRONMENT.broker_scheme == "filesystem"
    else ENVIRONMENT.celery_broker_url
)
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_TIMEOUT = 2
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, Any] = {}
CELERY_TASK_IGNORE_RESULT = True
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BEAT_SCHEDULE = {
    # What no message tells of: one that was lost with a broker, or with whoever was
    # killed before sending it. Of those that nobody took, the next one does as well.
    "sweep-pending-work": {
        "task": "results.tasks.work_off",
        "schedule": 1.0,
        "options": {"expires": 60},
    },
    "fit-grown-classes": {"task": "results.tasks.refresh_classes", "schedule": 20.0},
    "tidy": {"task": "results.tasks.tidy", "schedule": 3600.0},
}
CELERY_BEAT_SCHEDULER = "labsite.scheduler:SteadyScheduler"
CELERY_BEAT_SCHEDULE_FILENAME = str(ENVIRONMENT.data_folder / "schedule")
if ENVIRONMENT.broker_scheme == "filesystem":
    _folder = ENVIRONMENT.broker_folder
    (_folder / "messages").mkdir(parents=True, exist_ok=True)
    (_folder / "control").mkdir(exist_ok=True)
    CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(_folder / "messages"),
        "data_folder_out": str(_folder / "messages"),
        "control_folder": str(_folder / "control"),
        # The transport's own second between looks would be felt at the bench.
        "polling_interval": 0.05,
    }
elif ENVIRONMENT.broker_scheme in {"redis", "rediss"}:
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "socket_connect_timeout": 2,
        "socket_timeout": 10,
    }

METRICS_TOKEN = ENVIRONMENT.metrics_token
CLAIM_LEASE_S = ENVIRONMENT.claim_lease_s
CLAIMS_FOLDER = ENVIRONMENT.data_folder / "claims"

REST_FRAMEWORK = {
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_AUTHENTICATION_CLASSES": ["api.authentication.TokenAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["api.parsers.ShallowJSONParser"],
    "DEFAULT_PAGINATION_CLASS": "api.pagination.Pages",
    "PAGE_SIZE": 50,
    "EXCEPTION_HANDLER": "api.errors.problem_response",
    "NUM_PROXIES": ENVIRONMENT.trusted_proxies,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Benchwide",
    "VERSION": "1",
    "DESCRIPTION": "Readings in, answers out: the class-wide results of the "
    "spectrophotometric determination of iron.\n\n"
    "On the addresses of groups, sentences for people (`detail` of problems, titles "
    "and sentences of findings) follow `Accept-Language`: English or German. Codes, "
    "types and numbers are the same in every language; so are the `title` and the "
    "meaning of a kind of problem.",
    "SERVE_INCLUDE_SCHEMA": False,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "SCHEMA_PATH_PREFIX": r"/api/v1",
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {
        "request": {"()": "labsite.trail.NamesRequest"},
        "contexts": {"()": "labsite.trail.NoContexts"},
    },
    "formatters": {
        "line": {
            "format": "{asctime} {levelname} {name} [{request_id}]: {message}",
            "style": "{",
        },
        "json": {"()": "labsite.trail.JsonLines"},
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "filters": ["request"],
            "formatter": ENVIRONMENT.log_format,
        }
    },
    # The framework would mail a fault to administrators, with all that was typed.
    "loggers": {
        "django": {"handlers": [], "level": "INFO"},
        "django.template": {"filters": ["contexts"]},
        "django.db.backends": {"filters": ["contexts"]},
    },
    "root": {"handlers": ["console"], "level": "INFO"},
}
