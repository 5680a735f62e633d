"""What the supervisor is told."""

import pytest
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client

pytestmark = pytest.mark.django_db


def test_a_running_process_is_alive(client: Client):
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()) == (200, {"alive": True})


def test_a_migrated_database_is_ready(client: Client):
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (
        200,
        {"ready": True, "database": True, "redis": True, "job_lag_s": 0},
    )


def test_a_database_that_lacks_a_migration_is_not_ready(client: Client, settings):
    settings.MIGRATION_MODULES = {}
    recorder = MigrationRecorder(connection)
    if recorder.has_table():  # tables made from the models are recorded by no migration
        recorder.migration_qs.filter(app="sessions").delete()
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (
        503,
        {"ready": False, "database": False, "redis": True, "job_lag_s": None},
    )


def test_a_redis_that_does_not_answer_is_not_ready(client: Client, settings):
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    settings.CACHES = {
        "default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": settings.REDIS_URL}
    }
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (
        503,
        {"ready": False, "database": True, "redis": False, "job_lag_s": 0},
    )


def test_every_answer_carries_the_content_security_policy(client: Client):
    policy = client.get("/healthz").headers["Content-Security-Policy"]
    assert set(policy.split("; ")) == {
        "default-src 'self'",
        "object-src 'none'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "form-action 'self'",
        "img-src 'self' data:",
    }
