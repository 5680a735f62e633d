"""The service's own settings with what makes tests quick and strict."""

import os

from brewery.project.settings import *  # noqa: F403
from brewery.project.settings import CACHES, INSTALLED_APPS, MIDDLEWARE

INSTALLED_APPS = [*INSTALLED_APPS, "zeal"]
MIDDLEWARE = ["zeal.middleware.zeal_middleware", *MIDDLEWARE]
ZEAL_RAISE = True
# Django reads the session once to find who it is, and again to end it.
ZEAL_ALLOWLIST = [{"model": "sessions.Session", "field": "get()"}]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
# Workers that run side by side share one Redis, not one cache.
CACHES = {"default": {**CACHES["default"], "KEY_PREFIX": os.environ.get("PYTEST_XDIST_WORKER", "tests")}}
