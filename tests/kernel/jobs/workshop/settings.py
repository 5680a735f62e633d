"""The service's own settings for worker, beat and runner in tests: jobs of the tests, and shorter times."""

import os
from datetime import timedelta

from brewery.project.settings import *  # noqa: F403
from brewery.project.settings import CELERY_BEAT_SCHEDULE, CELERY_BROKER_TRANSPORT_OPTIONS, INSTALLED_APPS

INSTALLED_APPS = [*INSTALLED_APPS, "tests.kernel.jobs.workshop"]
JOBS_LEASE = timedelta(seconds=3)
JOBS_SWEEP_EVERY = timedelta(seconds=1)
CELERY_BEAT_SCHEDULE = {"sweep": {**CELERY_BEAT_SCHEDULE["sweep"], "schedule": JOBS_SWEEP_EVERY}}
# Tests that run at the same time share one Redis.
KEY_PREFIX = os.environ.get("TEST_KEY_PREFIX", "")
CELERY_BROKER_TRANSPORT_OPTIONS = {**CELERY_BROKER_TRANSPORT_OPTIONS, "global_keyprefix": KEY_PREFIX}
