"""The worker's application: the tasks of every app's `jobs` room, run by a worker and timed by one beat."""

import os

from celery import Celery
from django_structlog.celery.steps import DjangoStructLogInitStep

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "brewery.project.settings")

app = Celery("grainward")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(related_name="jobs")
app.steps["worker"].add(DjangoStructLogInitStep)
