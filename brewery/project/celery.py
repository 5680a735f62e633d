"""The worker's application: the tasks of every app's `jobs` room, run by a worker and timed by one beat."""

import os

from celery import Celery
from django_structlog.celery.steps import DjangoStructLogInitStep

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "brewery.project.settings")

app = Celery("grainward")
app.set_default()  # the current app is each thread's own; the web process's other threads ring this one's bells too
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(related_name="jobs")
app.steps["worker"].add(DjangoStructLogInitStep)
