"""Django's settings; what differs between installations is read in `environment.py`."""

import os
from datetime import timedelta
from pathlib import Path

from csp.constants import NONE, SELF

from brewery.project.environment import read_environment
from brewery.project.logs import configure_structlog, logging_settings

BASE_DIR = Path(__file__).resolve().parent.parent.parent
PROJECT_DIR = Path(__file__).resolve().parent
DATA_DIR = BASE_DIR / ".data"
DATA_DIR.mkdir(exist_ok=True)
_environment = read_environment(os.environ, base_dir=BASE_DIR)

# The installation

PRODUCTION = _environment.production
SECRET_KEY = _environment.secret_key
DEBUG = _environment.debug
ALLOWED_HOSTS = _environment.allowed_hosts
CSRF_TRUSTED_ORIGINS = _environment.csrf_trusted_origins
BREWERY_TIME_ZONE = _environment.brewery_time_zone
GS1_COMPANY_PREFIX = _environment.gs1_company_prefix
BREWERY_NAME = _environment.brewery_name
BREWERY_URI = _environment.brewery_uri
REDIS_URL = _environment.redis_url

# The parts

INSTALLED_APPS = [
    "brewery.kernel",
    "inventory",
    "brewery.production",
    "traceability",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "django_filters",
    "django_htmx",
    "django_structlog",
    "drf_spectacular",
    "knox",
    "rest_framework",
    "template_partials",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "brewery.kernel.pages.zone.BreweryTime",
    "django_htmx.middleware.HtmxMiddleware",
    "django_structlog.middlewares.RequestMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "brewery.project.urls"
WSGI_APPLICATION = "brewery.project.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [PROJECT_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

# PostgreSQL's covering indexes are wanted; SQLite leaves out the columns that are not keys, which is all W040 says.
SILENCED_SYSTEM_CHECKS = ["models.W040"]

# Records, cache and jobs

DATABASES = {"default": _environment.database}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
    if REDIS_URL
    else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"},
}
CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {"socket_connect_timeout": 2}  # whoever rings a bell does not wait for a dead Redis
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TIMEZONE = "UTC"
CELERY_WORKER_PREFETCH_MULTIPLIER = 1  # a long job keeps no others waiting behind it
CELERY_WORKER_HIJACK_ROOT_LOGGER = False  # its log looks like the web process's
MOCK_RECALL_DAYS = _environment.mock_recall_days
vars().update(_environment.mail)
DEFAULT_FROM_EMAIL = _environment.mail_from
EMAIL_TIMEOUT = 20  # seconds; without it a mail server that is silent would keep a worker for ever
WEBHOOKS_WITHIN = _environment.webhooks_within
QUALITY_WITHIN_DAYS = _environment.quality_within_days
DUTY_STRENGTH_DAYS = _environment.duty_strength_days
DUTY_DUE_DAYS = _environment.duty_due_days
BEER_Q10 = _environment.beer_q10
BEER_KEPT_AT_C = _environment.beer_kept_at_c
JOBS_LEASE = timedelta(minutes=15)  # longer than any job takes; after it another worker may take the job
JOBS_SWEEP_EVERY = timedelta(seconds=30)
JOBS_LATE_AFTER = timedelta(minutes=10)  # as long as most wait between two of their times
JOBS_KEPT_FOR = timedelta(days=30)  # what was done; what failed is kept
# Beat rings one bell. Which day a job was done for stands in the job table: beat's own file is lost with its container,
# and two beats know nothing of each other.
CELERY_BEAT_SCHEDULE = {
    "sweep": {
        "task": "brewery.kernel.jobs.sweep",
        "schedule": JOBS_SWEEP_EVERY,
        "options": {"expires": JOBS_SWEEP_EVERY.total_seconds()},
    },
}

# People

AUTH_USER_MODEL = "kernel.User"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "login"
SESSION_COOKIE_AGE = int(timedelta(hours=12).total_seconds())  # a shift and its overtime
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_HTTP_RESPONSE_CODE = 429
AXES_LOCKOUT_CALLABLE = "brewery.project.faults.locked_out"
AXES_RESET_ON_SUCCESS = True
AXES_IPWARE_PROXY_COUNT = _environment.trusted_proxies
AXES_IPWARE_META_PRECEDENCE_ORDER = ["HTTP_X_FORWARDED_FOR" if _environment.trusted_proxies else "REMOTE_ADDR"]

# The API

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "brewery.kernel.api.tokens.TokenAuthentication",
        # Whoever has signed in to the pages; what it writes needs the CSRF token of a page.
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["brewery.kernel.api.access.HasNamedRight"],
    "DEFAULT_PAGINATION_CLASS": "brewery.kernel.api.pagination.RecordPagination",
    "DEFAULT_FILTER_BACKENDS": ["brewery.kernel.api.filters.NamedFilters"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["brewery.kernel.api.parsing.StrictJSONParser"],
    "DEFAULT_SCHEMA_CLASS": "brewery.kernel.api.schema.ApiSchema",
    "DEFAULT_METADATA_CLASS": None,  # what an address does is told by the description
    "EXCEPTION_HANDLER": "brewery.kernel.api.problems.problem_handler",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
REST_KNOX = {"TOKEN_TTL": timedelta(days=90), "TOKEN_LIMIT_PER_USER": 10}
SPECTACULAR_SETTINGS = {
    "TITLE": "Grainward",
    "DESCRIPTION": "Stock and lot history of a production brewery.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "brewery.kernel.api.schema.closed_requests",
    ],
    "ENUM_NAME_OVERRIDES": {
        "MaterialKind": "inventory.models.Material.Kind",
        "LocationKind": "inventory.models.Location.Kind",
        "EventKind": "inventory.models.Event.Kind",
        "LinkKind": "inventory.api.events.LINK_KINDS",
        "TransferKind": "brewery.production.api.transfers.TRANSFER_KINDS",
        "BaseUnit": "brewery.kernel.api.fields.BASE_UNITS",
        "Unit": "brewery.kernel.api.fields.ALL_UNITS",
        "Disposition": "inventory.models.dispositions.Disposition",
        "PartyRole": "inventory.models.Party.Role",
        "Filling": "inventory.models.Location.Filling",
        "BrewSheetState": "brewery.production.models.BrewSheet.State",
        "TankProperty": "brewery.production.models.TankReading.Property",
        "LogProperty": "brewery.production.models.LogEntry.Property",
        "CountSheetState": "inventory.models.CountSheet.State",
        "Allergen": "inventory.api.material_fields.ALLERGEN_CODES",
        "Claim": "inventory.api.material_fields.CLAIM_CODES",
    },
}

# Time and words

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True

# Files

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [PROJECT_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage",
    },
}
MEDIA_ROOT = DATA_DIR / "files"
ATTACHMENTS_DIR = DATA_DIR / "attachments"
# Production serves what collectstatic gathered; development serves the files as they lie.
WHITENOISE_USE_FINDERS = not PRODUCTION
WHITENOISE_AUTOREFRESH = not PRODUCTION

# Safety

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
        "img-src": [SELF, "data:"],
    },
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SECURE_SSL_REDIRECT = _environment.https_only
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$"]
SECURE_HSTS_SECONDS = int(timedelta(days=365).total_seconds()) if _environment.https_only else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = _environment.https_only
SECURE_HSTS_PRELOAD = _environment.https_only
SESSION_COOKIE_SECURE = _environment.https_only
CSRF_COOKIE_SECURE = _environment.https_only
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if _environment.trusted_proxies else None

# The log

configure_structlog()
LOGGING = logging_settings(json_lines=PRODUCTION)
DJANGO_STRUCTLOG_CELERY_ENABLED = True
